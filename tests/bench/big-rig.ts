/** What a big rig is made of. Counts are met exactly or rounded up to whole rings. */
export interface BigRig {
  readonly vertices: number;
  readonly joints: number;
  /** Keys of each joint's rotation channel; 0 for no clip. */
  readonly keys: number;
  /** Bytes of texture that lie in the file beside the rig. */
  readonly textureBytes: number;
  /** Whether all that is told of a vertex stands together; else each attribute has a view of its own. */
  readonly interleaved?: boolean;
}

/** Bytes of one view, and the accessors that show them. */
interface Part {
  readonly bytes: Uint8Array;
  readonly stride?: number;
  readonly accessors: readonly object[];
}

const LIMBS = 10;
const RING = 20;
/** For names, without those that tell a side. */
const LETTERS = 'abcdefghijkmnopqstuvwxyz';

/**
 * A GLB of a many-limbed puppet as exporters write them: positions, normals, UVs, joints and weights of
 * each vertex, triangles, one clip, and textures that a check has no business with. Sound, so
 * that what is timed is measuring, not telling.
 */
export function bigRig({
  vertices,
  joints,
  keys,
  textureBytes,
  interleaved = false,
}: BigRig): Uint8Array {
  const perLimb = Math.floor((joints - 1) / LIMBS);
  const rings = Math.ceil(vertices / LIMBS / RING);
  const count = LIMBS * rings * RING;
  const position = new Float32Array(3 * count);
  const normal = new Float32Array(3 * count);
  const uv = new Float32Array(2 * count);
  const joint = new Uint16Array(4 * count);
  const weight = new Float32Array(4 * count);
  const index = new Uint32Array(LIMBS * (rings - 1) * RING * 6);
  const nodes: object[] = [{ name: 'trunk', translation: [0, 1, 0], children: [] as number[] }];
  const inverse: number[] = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, -1, 0, 1];
  let [v, i] = [0, 0];
  for (let limb = 0; limb < LIMBS; limb++) {
    const angle = (2 * Math.PI * limb) / LIMBS;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const first = nodes.length;
    (nodes[0] as { children: number[] }).children.push(first);
    for (let k = 0; k < perLimb; k++) {
      // Aim +X along the limb: the first joint of a limb turns about Y, the others follow straight on.
      const at = 0.2 + (k * 1.8) / perLimb;
      const rotation = k === 0 ? [0, -Math.sin(angle / 2), 0, Math.cos(angle / 2)] : [0, 0, 0, 1];
      const translation = k === 0 ? [0.2 * c, 0, 0.2 * s] : [1.8 / perLimb, 0, 0];
      nodes.push({
        name: `limb_${limb + 1}_${LETTERS[k % LETTERS.length]}${Math.floor(k / LETTERS.length)}`,
        rotation,
        translation,
        ...(k + 1 < perLimb ? { children: [nodes.length + 1] } : {}),
      });
      inverse.push(c, 0, -s, 0, 0, 1, 0, 0, s, 0, c, 0, -at, -1, 0, 1);
    }
    const start = v;
    for (let ring = 0; ring < rings; ring++) {
      const along = 0.2 + (1.8 * ring) / rings;
      const place = (ring / rings) * perLimb;
      const [a, t] = [Math.min(perLimb - 1, Math.floor(place)), place % 1];
      for (let k = 0; k < RING; k++, v++) {
        const [y, z] = [Math.cos((2 * Math.PI * k) / RING), Math.sin((2 * Math.PI * k) / RING)];
        position.set([along * c - 0.05 * z * s, 1 + 0.05 * y, along * s + 0.05 * z * c], 3 * v);
        normal.set([-z * s, y, z * c], 3 * v);
        uv.set([ring / rings, k / RING], 2 * v);
        joint.set([first + a, Math.max(limb * perLimb, first + a - 1), 0, 0], 4 * v);
        const w = Math.fround(0.5 + t / 2);
        weight.set(first + a === first ? [1, 0, 0, 0] : [w, 1 - w, 0, 0], 4 * v);
        if (ring + 1 === rings) continue;
        const [p, q] = [start + ring * RING + k, start + ring * RING + ((k + 1) % RING)];
        index.set([p, q, p + RING, q, q + RING, p + RING], i);
        i += 6;
      }
    }
  }
  const jointCount = nodes.length;
  nodes.push({ name: 'skin_mesh', mesh: 0, skin: 0 });
  const parts: Part[] = [];
  let accessorCount = 0;
  const addPart = (part: Part): number => {
    parts.push(part);
    accessorCount += part.accessors.length;
    return accessorCount - part.accessors.length;
  };
  const add = (array: Numbers, accessor: object): number =>
    addPart({ bytes: bytesOf(array), accessors: [accessor] });
  const bounds = { min: [-2.1, 0.9, -2.1], max: [2.1, 1.1, 2.1] };
  const stored: [string, Numbers, object][] = [
    ['POSITION', position, { componentType: 5126, type: 'VEC3', count, ...bounds }],
    ['NORMAL', normal, { componentType: 5126, type: 'VEC3', count }],
    ['TEXCOORD_0', uv, { componentType: 5126, type: 'VEC2', count }],
    ['JOINTS_0', joint, { componentType: 5123, type: 'VEC4', count }],
    ['WEIGHTS_0', weight, { componentType: 5126, type: 'VEC4', count }],
  ];
  const together = interleaved ? addPart(interleave(stored, count)) : 0;
  const attributes = Object.fromEntries(
    stored.map(([name, array, accessor], at) => [
      name,
      interleaved ? together + at : add(array, accessor),
    ]),
  );
  const indices = add(index, { componentType: 5125, type: 'SCALAR', count: index.length });
  const inverseBindMatrices = add(Float32Array.from(inverse), {
    componentType: 5126,
    type: 'MAT4',
    count: jointCount,
  });
  const json: Record<string, unknown> = {
    asset: { version: '2.0', generator: 'trysquare bench' },
    scene: 0,
    scenes: [{ nodes: [0, jointCount] }],
    nodes,
    meshes: [{ primitives: [{ attributes, indices }] }],
    skins: [{ joints: Array.from({ length: jointCount }, (_, at) => at), inverseBindMatrices }],
  };
  if (keys > 0) {
    const times = add(
      Float32Array.from({ length: keys }, (_, at) => at / 30),
      { componentType: 5126, type: 'SCALAR', count: keys, min: [0], max: [(keys - 1) / 30] },
    );
    const samplers = Array.from({ length: jointCount }, (_, at) => {
      const values = new Float32Array(4 * keys);
      for (let key = 0; key < keys; key++) {
        const half = 0.1 * Math.sin(at + key / 7);
        values.set([0, Math.sin(half), 0, Math.cos(half)], 4 * key);
      }
      return {
        input: times,
        output: add(values, { componentType: 5126, type: 'VEC4', count: keys }),
      };
    });
    const channels = samplers.map((_, at) => ({
      sampler: at,
      target: { node: at, path: 'rotation' },
    }));
    json.animations = [{ name: 'sway', samplers, channels }];
  }
  if (textureBytes > 0) {
    const textures = 4;
    json.images = Array.from({ length: textures }, () => {
      const bufferView = parts.length;
      addPart({ bytes: new Uint8Array(textureBytes / textures).fill(0x89), accessors: [] });
      return { bufferView, mimeType: 'image/png' };
    });
    json.textures = Array.from({ length: textures }, (_, source) => ({ source }));
    json.materials = [{ pbrMetallicRoughness: { baseColorTexture: { index: 0 } } }];
  }
  return pack(json, parts);
}

type Numbers = Float32Array | Uint16Array | Uint32Array;

function bytesOf({ buffer, byteOffset, byteLength }: Numbers): Uint8Array {
  return new Uint8Array(buffer, byteOffset, byteLength);
}

/** One view in which the attributes of each vertex follow one another. */
function interleave(stored: readonly (readonly [string, Numbers, object])[], count: number): Part {
  const stride = stored.reduce((sum, [, array]) => sum + array.byteLength / count, 0);
  const bytes = new Uint8Array(stride * count);
  let byteOffset = 0;
  const accessors = stored.map(([, array, accessor]) => {
    const [from, each] = [bytesOf(array), array.byteLength / count];
    for (let v = 0; v < count; v++)
      bytes.set(from.subarray(each * v, each * (v + 1)), stride * v + byteOffset);
    byteOffset += each;
    return { ...accessor, byteOffset: byteOffset - each };
  });
  return { bytes, stride, accessors };
}

function pack(json: Record<string, unknown>, parts: readonly Part[]): Uint8Array {
  let offset = 0;
  const views = parts.map(({ bytes, stride }) => {
    const byteStride = stride === undefined ? {} : { byteStride: stride };
    const view = { buffer: 0, byteOffset: offset, byteLength: bytes.byteLength, ...byteStride };
    offset += (bytes.byteLength + 3) & ~3;
    return view;
  });
  const accessors = parts.flatMap((part, bufferView) =>
    part.accessors.map((accessor) => ({ ...accessor, bufferView })),
  );
  const text = JSON.stringify({
    ...json,
    accessors,
    bufferViews: views,
    buffers: [{ byteLength: offset }],
  });
  const head = new TextEncoder().encode(text.padEnd((text.length + 3) & ~3));
  const out = new Uint8Array(28 + head.byteLength + offset);
  const data = new DataView(out.buffer);
  [0x46546c67, 2, out.byteLength, head.byteLength, 0x4e4f534a].forEach((word, at) => {
    data.setUint32(4 * at, word, true);
  });
  out.set(head, 20);
  data.setUint32(20 + head.byteLength, offset, true);
  data.setUint32(24 + head.byteLength, 0x004e4942, true);
  parts.forEach(({ bytes }, at) => {
    out.set(bytes, 28 + head.byteLength + (views[at]?.byteOffset ?? 0));
  });
  return out;
}
