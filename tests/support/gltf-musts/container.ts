import type { Must } from './must.js';
import { BIN_CHUNK, type Chunk, JSON_CHUNK, type WholeFile } from './whole-file.js';

/** What is asked of a GLB alone. */
const glb =
  (
    ask: (file: WholeFile, chunks: readonly Chunk[], header: DataView) => boolean,
  ): Must['breaches'] =>
  (file) => {
    if (file.chunks === null) return [];
    const header = new DataView(file.bytes.buffer, file.bytes.byteOffset, 12);
    return ask(file, file.chunks, header) ? [] : ['file'];
  };

/** glTF 2.0, 4.4 Binary glTF Layout, and where buffers find their bytes. */
export const CONTAINER: readonly Must[] = [
  {
    id: 'glb-magic',
    section: '4.4.2',
    says: 'magic MUST be equal to equal 0x46546C67.',
    breaches: glb((_, __, header) => header.getUint32(0, true) === 0x46546c67),
  },
  {
    id: 'glb-version',
    section: '4.4.2',
    says: 'This specification defines version 2.',
    breaches: glb((_, __, header) => header.getUint32(4, true) === 2),
  },
  {
    id: 'glb-length',
    section: '4.4.2',
    says: 'length is the total length of the Binary glTF, including header and all chunks, in bytes.',
    breaches: glb(({ bytes }, _, header) => header.getUint32(8, true) === bytes.length),
  },
  {
    id: 'glb-chunk-length',
    section: '4.4.3.1',
    says: 'chunkLength is the length of chunkData, in bytes.',
    breaches: glb(({ bytes }, chunks) => {
      const last = chunks.at(-1);
      return last !== undefined && last.start + 8 + last.length === bytes.length;
    }),
  },
  {
    id: 'glb-chunk-aligned',
    section: '4.4.3.1',
    says: 'The start and the end of each chunk MUST be aligned to a 4-byte boundary.',
    breaches: glb((_, chunks) =>
      chunks.every(({ start, length }) => start % 4 === 0 && length % 4 === 0),
    ),
  },
  {
    id: 'glb-chunk-order',
    section: '4.4.3.1',
    says: 'Chunks MUST appear in exactly the order given: JSON once, then BIN 0 or 1 times.',
    breaches: glb((_, chunks) => {
      const known = chunks.map(({ type }) => type).filter((type) => KNOWN.includes(type));
      return chunks[0]?.type === JSON_CHUNK && known.length <= 2 && known.at(0) === JSON_CHUNK;
    }),
  },
  {
    id: 'glb-json-padding',
    section: '4.4.3.2',
    says: 'This chunk MUST be padded with trailing Space chars (0x20) to satisfy alignment requirements.',
    breaches: glb((_, [json]) => {
      const data = json?.data ?? new Uint8Array();
      return data.subarray(data.lastIndexOf(0x7d) + 1).every((byte) => byte === 0x20);
    }),
  },
  {
    id: 'glb-bin-padding',
    section: '4.4.3.3',
    says: 'This chunk MUST be padded with trailing zeros (0x00) to satisfy alignment requirements.',
    breaches: glb(({ json }, chunks) => {
      const data = chunks.find(({ type }) => type === BIN_CHUNK)?.data;
      return data?.subarray(json.buffers?.[0]?.byteLength).every((byte) => byte === 0) !== false;
    }),
  },
  {
    id: 'glb-bin-size',
    section: '3.6.1.2',
    says: 'The byte length of the BIN chunk MAY be up to 3 bytes bigger than JSON-defined buffer.byteLength value to satisfy GLB padding requirements.',
    breaches: glb(({ json }, chunks) => {
      const [first] = json.buffers ?? [];
      const data = chunks.find(({ type }) => type === BIN_CHUNK)?.data;
      if (first === undefined || first.uri !== undefined || data === undefined) return true;
      return data.length < first.byteLength || data.length - first.byteLength <= 3;
    }),
  },
  {
    id: 'buffer-has-bytes',
    section: '3.6.1.1, 3.6.1.2',
    says: 'The byte length of the referenced resource MUST be greater than or equal to the buffer.byteLength property. When such a buffer exists, a BIN chunk MUST be present.',
    breaches: ({ json, buffers }) =>
      (json.buffers ?? []).flatMap(({ byteLength }, index) =>
        (buffers[index]?.byteLength ?? -1) >= byteLength ? [] : [`/buffers/${index}`],
      ),
  },
  {
    id: 'buffer-media-type',
    section: '3.6.1.1',
    says: 'its mediatype field MUST be set to application/octet-stream or application/gltf-buffer.',
    breaches: ({ json }) =>
      (json.buffers ?? []).flatMap(({ uri = '' }, index) =>
        !uri.startsWith('data:') || /^data:application\/(octet-stream|gltf-buffer)[;,]/.test(uri)
          ? []
          : [`/buffers/${index}/uri`],
      ),
  },
];

const KNOWN = [JSON_CHUNK, BIN_CHUNK];
