/** The files of a mended asset. */
export interface Files {
  readonly main: Uint8Array;
  /** Separate buffer files that changed, by name. */
  readonly buffers: ReadonlyMap<string, Uint8Array>;
}

/** What a data URI of a buffer begins with (glTF 2.0, 3.6.1.2). */
export const PLAIN_DATA = 'data:application/octet-stream;base64,';

/**
 * A GLB: header, JSON chunk padded with spaces, binary chunk padded with zeros (glTF 2.0, 4.4).
 *
 * @param others Chunks of other types, headers included: readers ignore them (4.4.3.1), but they are kept.
 */
export function glbOf(
  text: string,
  binary: Uint8Array | null,
  others: Uint8Array = new Uint8Array(),
): Uint8Array {
  const chunks = [chunk(0x4e4f534a, padded(Buffer.from(text), 0x20))];
  if (binary !== null) chunks.push(chunk(0x004e4942, padded(Buffer.from(binary), 0)));
  chunks.push(Buffer.from(others));
  const length = chunks.reduce((sum, { byteLength }) => sum + byteLength, 12);
  return Buffer.concat([words(0x46546c67, 2, length), ...chunks]);
}

function chunk(type: number, data: Buffer): Buffer {
  return Buffer.concat([words(data.byteLength, type), data]);
}

/** Unsigned 32-bit integers, little-endian. */
function words(...values: number[]): Buffer {
  const bytes = Buffer.alloc(4 * values.length);
  for (const [at, value] of values.entries()) bytes.writeUInt32LE(value, 4 * at);
  return bytes;
}

function padded(data: Buffer, filler: number): Buffer {
  const missing = (4 - (data.byteLength % 4)) % 4;
  return missing === 0 ? data : Buffer.concat([data, Buffer.alloc(missing, filler)]);
}
