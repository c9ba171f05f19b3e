/** What a mended asset is written as. */
export interface Files {
  readonly main: Uint8Array;
  /** Buffers in files of their own that changed, by name. */
  readonly buffers: ReadonlyMap<string, Uint8Array>;
}

/** What a data URI of a buffer begins with (glTF 2.0, 3.6.1.2). */
export const PLAIN_DATA = 'data:application/octet-stream;base64,';

/**
 * A GLB: header, JSON chunk padded with spaces, binary chunk padded with zeros (glTF 2.0, 4.4).
 *
 * @param others Chunks of other types, headers included: a reader ignores them (4.4.3.1), but they are
 * somebody's.
 */
export function glbOf(
  text: string,
  binary: Uint8Array | null,
  others: Uint8Array = new Uint8Array(),
): Uint8Array {
  const chunks = [chunk(0x4e4f534a, padded(Buffer.from(text), 0x20))];
  if (binary !== null) chunks.push(chunk(0x004e4942, padded(Buffer.from(binary), 0)));
  chunks.push(Buffer.from(others));
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
