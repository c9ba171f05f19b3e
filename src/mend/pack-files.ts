import type { GltfJson } from './gltf-json.js';

/** What a mended asset is written as. */
export interface Files {
  readonly main: Uint8Array;
  /** Buffers in files of their own that changed, by name. */
  readonly buffers: ReadonlyMap<string, Uint8Array>;
}

/** A GLB: header, JSON chunk padded with spaces, binary chunk padded with zeros (glTF 2.0, 4.4). */
export function packGlb(json: GltfJson, binary: Uint8Array | null): Uint8Array {
  const text = padded(Buffer.from(JSON.stringify(json)), 0x20);
  const chunks = [chunk(0x4e4f534a, text)];
  if (binary !== null) chunks.push(chunk(0x004e4942, padded(Buffer.from(binary), 0)));
  const header = Buffer.alloc(12);
  header.writeUInt32LE(0x46546c67, 0);
  header.writeUInt32LE(2, 4);
  header.writeUInt32LE(
    chunks.reduce((sum, { byteLength }) => sum + byteLength, header.byteLength),
    8,
  );
  return Buffer.concat([header, ...chunks]);
}

function chunk(type: number, data: Buffer): Buffer {
  const header = Buffer.alloc(8);
  header.writeUInt32LE(data.byteLength, 0);
  header.writeUInt32LE(type, 4);
  return Buffer.concat([header, data]);
}

function padded(data: Buffer, filler: number): Buffer {
  const missing = (4 - (data.byteLength % 4)) % 4;
  return missing === 0 ? data : Buffer.concat([data, Buffer.alloc(missing, filler)]);
}

/** JSON as text, indented as the original was. */
export function packText(json: GltfJson, original: string): Uint8Array {
  const indent = /^\s*\{\r?\n?([ \t]+)"/.exec(original)?.[1];
  const lines = original.trimStart().startsWith('{\n') || original.trimStart().startsWith('{\r\n');
  return Buffer.from(
    `${JSON.stringify(json, null, lines ? (indent ?? 0) : undefined)}${original.endsWith('\n') ? '\n' : ''}`,
  );
}
