import { groupBy } from '../../rig/group-by.js';
import { compose, mat4At, multiply } from '../../rig/mat4.js';
import type { Clip, ClipChannel, NodeTable, Rig } from '../../rig/types.js';

/** The times at which any of some channels has a key, ascending, each once. Seconds. */
export function differentTimes(channels: readonly ClipChannel[]): number[] {
  const keys = new Set<number>();
  for (const times of new Set(channels.map((channel) => channel.times)))
    for (const time of times) if (Number.isFinite(time)) keys.add(time);
  return [...keys].sort((a, b) => a - b);
}

/** The times at which a clip is looked at: every key, and one point between each two. Seconds. */
export function sampleTimes(channels: readonly ClipChannel[]): number[] {
  const sorted = differentTimes(channels);
  return sorted.flatMap((time, index) => {
    const before = sorted[index - 1];
    return before === undefined ? [time] : [(before + time) / 2, time];
  });
}

/**
 * The value of a channel at a time in seconds, written to `out` (3 or 4 numbers). Before the first
 * key and after the last the nearest key holds; STEP, LINEAR (rotations by slerp) and CUBICSPLINE
 * as in glTF 2.0, Appendix C.
 */
export function sampleChannel(channel: ClipChannel, time: number, out: Float64Array): void {
  const { times, values, size, interpolation } = channel;
  const cubic = interpolation === 'CUBICSPLINE';
  const [stride, skip] = cubic ? [3 * size, size] : [size, 0];
  const last = times.length - 1;
  const next = firstAfter(times, time);
  if (next === 0 || next > last || interpolation === 'STEP') {
    const key = Math.min(last, Math.max(0, next - 1));
    for (let i = 0; i < size; i++) out[i] = values[key * stride + skip + i] ?? 0;
  } else {
    const before = times[next - 1] ?? 0;
    const span = (times[next] ?? 0) - before;
    const u = span > 0 ? (time - before) / span : 0;
    const [a, b] = [(next - 1) * stride, next * stride];
    if (cubic) cubicSpline(values, a, b, size, u, span, out);
    else if (channel.path === 'rotation') slerp(values, a, b, u, out);
    else
      for (let i = 0; i < size; i++)
        out[i] = (values[a + i] ?? 0) * (1 - u) + (values[b + i] ?? 0) * u;
  }
  if (channel.path === 'rotation') {
    const length = Math.hypot(out[0] ?? 0, out[1] ?? 0, out[2] ?? 0, out[3] ?? 0);
    if (length > 0) for (let i = 0; i < 4; i++) out[i] = (out[i] ?? 0) / length;
  }
}

/** Index of the first key later than `time`. */
function firstAfter(times: Float32Array, time: number): number {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((times[middle] ?? 0) <= time) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** glTF 2.0, C.5: keys hold in-tangent, value, out-tangent; tangents are per second. */
function cubicSpline(
  values: Float32Array,
  a: number,
  b: number,
  size: number,
  u: number,
  span: number,
  out: Float64Array,
): void {
  const [u2, u3] = [u * u, u * u * u];
  for (let i = 0; i < size; i++) {
    const v0 = values[a + size + i] ?? 0;
    const out0 = span * (values[a + 2 * size + i] ?? 0);
    const in1 = span * (values[b + i] ?? 0);
    const v1 = values[b + size + i] ?? 0;
    out[i] =
      (2 * u3 - 3 * u2 + 1) * v0 +
      (u3 - 2 * u2 + u) * out0 +
      (-2 * u3 + 3 * u2) * v1 +
      (u3 - u2) * in1;
  }
}

/** glTF 2.0, C.4: spherical linear interpolation, the short way round. */
function slerp(values: Float32Array, a: number, b: number, u: number, out: Float64Array): void {
  let cosine = 0;
  for (let i = 0; i < 4; i++) cosine += (values[a + i] ?? 0) * (values[b + i] ?? 0);
  const sign = cosine < 0 ? -1 : 1;
  const angle = Math.acos(Math.min(1, Math.abs(cosine)));
  const sine = Math.sin(angle);
  const [wa, wb] =
    sine < 1e-6 ? [1 - u, u] : [Math.sin((1 - u) * angle) / sine, Math.sin(u * angle) / sine];
  for (let i = 0; i < 4; i++) out[i] = wa * (values[a + i] ?? 0) + sign * wb * (values[b + i] ?? 0);
}

const sampled = {
  translation: new Float64Array(4),
  rotation: new Float64Array(4),
  scale: new Float64Array(4),
};

/** Transform of a node: by its channels, else as stored. Overwritten by the next call. */
export function sampleNode(
  nodes: NodeTable,
  node: number,
  channels: readonly ClipChannel[],
  time: number,
): typeof sampled {
  sampled.translation.set(nodes.translation.subarray(3 * node, 3 * node + 3));
  sampled.rotation.set(nodes.rotation.subarray(4 * node, 4 * node + 4));
  sampled.scale.set(nodes.scale.subarray(3 * node, 3 * node + 3));
  for (const channel of channels) sampleChannel(channel, time, sampled[channel.path]);
  return sampled;
}

/** The world matrices of a rig's nodes at one time of a clip, each made when it is first needed. */
export class ClipPose {
  private readonly world: Float64Array;
  /** For each node, the seek that its matrix is of. */
  private readonly done: Int32Array;
  private seeks = 0;
  private time = 0;
  private readonly byNode: ReadonlyMap<number, readonly ClipChannel[]>;
  private readonly nodes: NodeTable;

  constructor(rig: Pick<Rig, 'nodes'>, clip: Clip) {
    this.nodes = rig.nodes;
    this.world = new Float64Array(16 * rig.nodes.count);
    this.done = new Int32Array(rig.nodes.count);
    this.byNode = groupBy(clip.channels, ({ node }) => node);
  }

  seek(time: number): void {
    this.time = time;
    this.seeks++;
  }

  /** World matrix of a node at the current time; the view is overwritten by the next `seek`. */
  worldOf(node: number): Float64Array {
    const stale: number[] = [];
    for (let at = node; at !== -1 && this.done[at] !== this.seeks; at = this.nodes.parent[at] ?? -1)
      stale.push(at);
    for (let at = stale.pop(); at !== undefined; at = stale.pop()) {
      const parent = this.nodes.parent[at] ?? -1;
      const channels = this.byNode.get(at);
      let local = mat4At(this.nodes.local, at);
      if (channels !== undefined) {
        const { translation, rotation, scale } = sampleNode(this.nodes, at, channels, this.time);
        local = compose(translation, rotation, scale);
      }
      if (parent === -1) mat4At(this.world, at).set(local);
      else multiply(mat4At(this.world, parent), local, mat4At(this.world, at));
      this.done[at] = this.seeks;
    }
    return mat4At(this.world, node);
  }
}
