import { glb } from '../../fixtures/kit/containers.js';

/** What of a file's JSON counts here; all else stays as it is. */
interface Json {
  buffers?: { byteLength: number; uri?: string }[];
  bufferViews?: { buffer: number; byteOffset?: number; extensions?: Record<string, unknown> }[];
  [key: string]: unknown;
}

/**
 * An asset with all its buffers in one GLB, so that a reader needs neither a folder nor a network.
 *
 * @param bytesOf Bytes of a file beside it, by its name.
 */
export function asOneGlb(main: Uint8Array, bytesOf: (name: string) => Uint8Array): Uint8Array {
  const isGlb = Buffer.from(main.subarray(0, 4)).toString() === 'glTF';
  const { json, binary } = isGlb ? withChunk(main) : { json: textOf(main), binary: NOTHING };
  const parts: Uint8Array[] = [];
  let end = 0;
  const starts = (json.buffers ?? []).map(({ uri, byteLength }) => {
    const bytes = uri === undefined ? binary : (dataOf(uri) ?? bytesOf(decodeURIComponent(uri)));
    const start = end;
    // Views begin where their type allows (glTF 2.0, 3.6.2.4). A buffer without bytes stays as long as it says.
    end += Math.ceil(Math.max(byteLength, bytes.length) / 8) * 8;
    parts.push(bytes, new Uint8Array(end - start - bytes.length));
    return start;
  });
  const moved = <T extends { buffer: number; byteOffset?: number }>(place: T): T => ({
    ...place,
    buffer: 0,
    byteOffset: (starts[place.buffer] ?? 0) + (place.byteOffset ?? 0),
  });
  for (const [index, view] of (json.bufferViews ?? []).entries()) {
    const packed = view.extensions?.[MESHOPT] as
      | { buffer: number; byteOffset?: number }
      | undefined;
    const extensions = packed === undefined ? {} : { extensions: { [MESHOPT]: moved(packed) } };
    json.bufferViews?.splice(index, 1, { ...moved(view), ...extensions });
  }
  if (parts.length > 0) json.buffers = [{ byteLength: end }];
  return glb(JSON.stringify(json), Buffer.concat(parts));
}

const MESHOPT = 'EXT_meshopt_compression';

const NOTHING = new Uint8Array();

/** Of any GLB, also one without a binary chunk. */
function withChunk(bytes: Uint8Array): { json: Json; binary: Uint8Array } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const length = view.getUint32(12, true);
  const json = textOf(bytes.subarray(20, 20 + length));
  const rest = bytes.subarray(28 + length);
  return { json, binary: bytes.length < 28 + length ? NOTHING : rest };
}

function textOf(bytes: Uint8Array): Json {
  return JSON.parse(new TextDecoder().decode(bytes));
}

function dataOf(uri: string): Uint8Array | null {
  if (!/^data:/i.test(uri)) return null;
  const comma = uri.indexOf(',');
  const body = uri.slice(comma + 1);
  const isBase64 = /;base64$/i.test(uri.slice(0, comma));
  return Buffer.from(isBase64 ? body : decodeURIComponent(body), isBase64 ? 'base64' : 'latin1');
}
