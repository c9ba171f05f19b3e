import type { GltfJson } from './gltf-json.js';

/**
 * Every file beside an asset that its JSON names: buffers, images, and any `uri` below a key
 * `extensions`, however deep, since extensions lead to files of their own. Data URIs, addresses in a
 * network and what cannot be decoded name no such file. Each once, in the order of the JSON.
 */
export function urisIn(json: GltfJson): string[] {
  const found = [...(json.buffers ?? []), ...(json.images ?? [])].map(({ uri }) => uri);
  const open: { value: unknown; inside: boolean }[] = [{ value: json, inside: false }];
  for (let item = open.pop(); item !== undefined; item = open.pop()) {
    if (typeof item.value !== 'object' || item.value === null) continue;
    const inner: { value: unknown; inside: boolean }[] = [];
    for (const [key, value] of Object.entries(item.value)) {
      if (item.inside && key === 'uri' && typeof value === 'string') found.push(value);
      inner.push({ value, inside: item.inside || key === 'extensions' });
    }
    for (const next of inner.reverse()) open.push(next);
  }
  return [...new Set(found)].filter((uri): uri is string => uri !== undefined && isBeside(uri));
}

function isBeside(uri: string): boolean {
  // A scheme (RFC 3986, 3.1), or the address of a host.
  if (/^([a-z][a-z0-9+.-]*:|\/\/)/i.test(uri)) return false;
  try {
    return decodeURIComponent(uri) !== '';
  } catch {
    return false;
  }
}
