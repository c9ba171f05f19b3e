import type { GltfJson } from './gltf-json.js';
import { eachMember } from './members.js';

/**
 * Every file beside an asset that its JSON names: buffers, images, and any `uri` below a key
 * `extensions`, however deep, since extensions lead to files of their own. Data URIs, network
 * addresses and what cannot be decoded are left out. Each file once, in the order of the JSON.
 */
export function urisIn(json: GltfJson): string[] {
  const found = [...(json.buffers ?? []), ...(json.images ?? [])].map(({ uri }) => uri);
  eachMember(
    json,
    () => false,
    (key, value, isInside) => {
      if (isInside && key === 'uri' && typeof value === 'string') found.push(value);
    },
  );
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
