import { ClipPose } from '../../measure/clip-sampling.js';
import { visible } from '../../report/visible.js';
import { decompose } from '../../rig/decompose.js';
import { compose, identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Quaternion } from '../../rig/quaternion.js';
import type { Rig } from '../../rig/types.js';
import type { Vec3 } from '../../rig/vec3.js';
import { carryExtensions } from '../carry/carry-extensions.js';
import type { Editable } from '../file/editable.js';
import type { NodeJson } from '../file/gltf-json.js';
import { inverseBindOf, writeInverseBind } from '../file/inverse-bind.js';
import { ownSampler } from '../file/sampler-values.js';
import type { MendContext } from '../repair.js';
import { type KeyedChannel, keyedClips } from './clip-table.js';
import type { Stored } from './key-maps.js';
import { ownAxes, polar, rotationOf, transposed } from './linear.js';
import { inverse, type NodePlan, type RebuildPlan, rigOf, splitOf } from './rebuild.js';
import { reparent } from './reparent.js';
import { follow, type SplineKeys } from './resample.js';

/** How curves are made that no product of keys gives. */
export interface Resampling {
  /** Largest distance that a spline may be off between its keys, in units of the rig. */
  readonly tolerance: number;
  /** What is turned lies at most so far away; units of the rig. */
  readonly reach: number;
  /** Take the nearest pose without skew where there is none: what is seen then changes. */
  readonly nearest: boolean;
}

/** A motion that was sampled anew. */
export interface Sampled {
  readonly node: number;
  readonly clip: string;
  readonly keys: number;
  /** Largest distance between the curves and what they follow, in units of the rig. */
  readonly off: number;
}

/** Stores a plan; or changes nothing, and tells why a curve cannot be followed. */
export function applyRebuild(
  { edit, model }: Pick<MendContext, 'edit' | 'model'>,
  plan: RebuildPlan,
  resampling: Resampling,
): { readonly sampled: readonly Sampled[] } | { readonly why: string } {
  const poser = new Poser(plan, model.rigs, resampling);
  const followed = new Map<string, Followed>();
  for (const { node, clips } of plan.nodes)
    for (const [clip, maps] of clips) {
      if (maps !== null) continue;
      const made = poser.follow(node, clip);
      if ('why' in made) return made;
      followed.set(`${node} ${clip}`, made);
    }
  carryExtensions(edit, plan.frames);
  const old = keyedClips(edit, model).channels;
  for (const item of plan.nodes) {
    const node = edit.json.nodes?.[item.node];
    if (node === undefined) continue;
    for (const [clip, maps] of item.clips) {
      const own = (old.get(item.source) ?? []).filter(({ animation }) => animation === clip);
      const curves = followed.get(`${item.node} ${clip}`);
      const isMoved = plan.parents.has(item.node);
      if (maps === null) {
        if (curves !== undefined) storeCurves(edit, item.node, clip, curves);
      } else
        for (const channel of own) {
          const values = mapped(channel, item, maps);
          if (isMoved) addChannel(edit, item.node, channel, values);
          else {
            const sampler = ownSampler(edit.json, clip, channel.channel);
            edit.write({ kind: 'output', animation: clip, sampler }, values);
          }
        }
    }
    store(node, item.local);
  }
  dropChannels(edit, outdated(plan, old));
  reparent(edit.json, model.nodes, plan.parents);
  hangBetween(edit, plan, model.nodes.children);
  changeInverseBinds(edit, plan.frames);
  return {
    sampled: [...followed.values()].map(({ node, clip, keys }) => ({
      node,
      clip,
      keys: keys.times.length,
      off: keys.off,
    })),
  };
}

/** The keys of one channel after their maps, tangents included. */
function mapped(
  { path, interpolation, values }: KeyedChannel,
  { isInverse }: NodePlan,
  maps: NonNullable<ReturnType<NodePlan['clips']['get']>>,
): Float32Array {
  const size = path === 'rotation' ? 4 : 3;
  const isCubic = interpolation === 'CUBICSPLINE';
  const out = new Float32Array(values.length);
  for (let at = 0; at + size <= values.length; at += size) {
    const isTangent = isCubic && (at / size) % 3 !== 1;
    const [x = 0, y = 0, z = 0, w = 0] = values.subarray(at, at + size);
    const turn: Quaternion = isInverse ? inverse([x, y, z, w]) : [x, y, z, w];
    const value: Vec3 = [x, y, z];
    out.set(
      path === 'rotation'
        ? maps.rotation(turn, isTangent)
        : path === 'translation'
          ? maps.translation(value, isTangent)
          : maps.scale(value),
      at,
    );
  }
  return out;
}

function addChannel(edit: Editable, node: number, like: KeyedChannel, values: Float32Array): void {
  const clip = edit.json.animations?.[like.animation];
  const sampler = clip?.samplers[like.sampler];
  if (clip === undefined || sampler === undefined) return;
  const output = edit.add(like.path === 'rotation' ? 'VEC4' : 'VEC3', values);
  const own = clip.samplers.push({ ...sampler, output }) - 1;
  clip.channels.push({ sampler: own, target: { node, path: like.path } });
}

function store(node: NodeJson, local: Mat4): void {
  if (node.matrix !== undefined) {
    node.matrix = [...local];
    return;
  }
  const { translation, rotation, scale } = splitOf(local);
  setOrDrop(node, 'translation', translation, [0, 0, 0]);
  setOrDrop(node, 'rotation', rotation, [0, 0, 0, 1]);
  setOrDrop(node, 'scale', scale, [1, 1, 1]);
}

/** What is at its default is left out (glTF 2.0, 5.25). */
function setOrDrop(
  node: NodeJson,
  key: 'translation' | 'rotation' | 'scale',
  values: readonly number[],
  usual: readonly number[],
): void {
  if (values.every((value, at) => value === usual[at])) delete node[key];
  else node[key] = values.map((value) => (value === 0 ? 0 : value));
}

/** Channels in whose stead there are new ones: of nodes with another parent, and of those sampled anew. */
function outdated(
  { nodes, parents }: RebuildPlan,
  old: ReadonlyMap<number, readonly KeyedChannel[]>,
): KeyedChannel[] {
  return nodes.flatMap(({ node, clips }) =>
    (old.get(node) ?? []).filter(
      ({ animation }) => parents.has(node) || clips.get(animation) === null,
    ),
  );
}

function dropChannels(edit: Editable, channels: readonly KeyedChannel[]): void {
  const gone = new Map<number, Set<number>>();
  for (const { animation, channel } of channels)
    gone.set(animation, (gone.get(animation) ?? new Set()).add(channel));
  for (const [animation, numbers] of gone) {
    const clip = edit.json.animations?.[animation];
    if (clip === undefined) continue;
    clip.channels = clip.channels.filter((_, at) => !numbers.has(at));
    dropIdleSamplers(clip);
  }
}

function dropIdleSamplers(clip: NonNullable<Editable['json']['animations']>[number]): void {
  const used = [...new Set(clip.channels.map(({ sampler }) => sampler))].sort((a, b) => a - b);
  const renumbered = new Map(used.map((sampler, at) => [sampler, at]));
  clip.samplers = used.flatMap((sampler) => clip.samplers[sampler] ?? []);
  for (const channel of clip.channels) channel.sampler = renumbered.get(channel.sampler) ?? 0;
}

/** A motion that was sampled anew, and what the node stores. */
interface Followed {
  readonly node: number;
  readonly clip: string;
  readonly keys: SplineKeys;
  readonly rest: Stored;
}

/** Gives a node new channels in one clip, for all of it that does not stand still. */
function storeCurves(edit: Editable, node: number, clip: number, { keys, rest }: Followed): void {
  const animation = edit.json.animations?.[clip];
  if (animation === undefined) return;
  const moving = PATHS.filter((path) => !stands(keys[path], rest[path]));
  const input = edit.add('SCALAR', keys.times);
  const bounds = edit.json.accessors?.[input];
  // An input gives its bounds (glTF 2.0, 3.11).
  if (bounds !== undefined)
    Object.assign(bounds, { min: [keys.times[0] ?? 0], max: [keys.times.at(-1) ?? 0] });
  // A clip has a channel at least: one that stands still is better than none.
  for (const path of moving.length > 0 ? moving : (['rotation'] as const)) {
    const output = edit.add(path === 'rotation' ? 'VEC4' : 'VEC3', keys[path]);
    const sampler = animation.samplers.push({ input, output, interpolation: 'CUBICSPLINE' }) - 1;
    animation.channels.push({ sampler, target: { node, path } });
  }
}

const PATHS = ['translation', 'rotation', 'scale'] as const;

/** Poses nodes as they are to be at any time of a clip. */
class Poser {
  private readonly plan: RebuildPlan;
  private readonly rigs: readonly Rig[];
  private readonly how: Resampling;
  private readonly poses = new Map<string, ClipPose>();

  constructor(plan: RebuildPlan, rigs: readonly Rig[], how: Resampling) {
    this.plan = plan;
    this.rigs = rigs;
    this.how = how;
  }

  /** Curves for the motion of a node in one clip, or why none follow it. */
  follow(node: number, clip: number): Followed | { readonly why: string } {
    const rig = rigOf(this.rigs, node);
    const own = rig?.clips.find(({ index }) => index === clip);
    if (rig === null || own === undefined) return { why: 'its clip cannot be posed' };
    const parent = this.plan.parents.get(node) ?? rig.nodes.parent[node] ?? -1;
    const moving = own.channels.filter(({ node: at }) => this.concerns(rig, at, node, parent));
    if (moving.some(({ interpolation }) => interpolation === 'STEP'))
      return {
        why: `the clip "${visible(own.name)}" moves by steps there, which no curve follows`,
      };
    const times = [...new Set(moving.flatMap((channel) => [...channel.times]))].sort(
      (a, b) => a - b,
    );
    const key = `${rig.index} ${clip}`;
    const pose = this.poses.get(key) ?? new ClipPose(rig, own);
    this.poses.set(key, pose);
    const local = this.plan.nodes.find((item) => item.node === node)?.local;
    const rest = decompose(local ?? identity());
    const motion = (time: number): Mat4 => {
      pose.seek(time);
      const above = parent === -1 ? identity() : this.target(pose, parent);
      const back = invert(above) ?? identity();
      const made = multiply(back, this.target(pose, node));
      if (!this.how.nearest) return made;
      const { translation, rotation } = decompose(made);
      return compose(translation, rotation, rest.scale);
    };
    const keys = follow(motion, times, this.how.tolerance, this.how.reach);
    if (keys === null)
      return { why: `the clip "${visible(own.name)}" moves it in a way that no curve follows` };
    return { node, clip: own.name, keys, rest };
  }

  /** Whether a moving node lies between a node and its new parent. */
  private concerns({ nodes }: Rig, moving: number, node: number, parent: number): boolean {
    const isAbove = (at: number): boolean => {
      for (let up = at; up !== -1; up = nodes.parent[up] ?? -1) if (up === moving) return true;
      return false;
    };
    return isAbove(node) !== (parent !== -1 && isAbove(parent));
  }

  /** New world matrix of a node; the nearest without skew where that is asked. */
  private target(pose: ClipPose, node: number): Mat4 {
    const frame = this.plan.frames.get(node);
    const world = Float64Array.from(pose.worldOf(node));
    const made = frame === undefined ? world : multiply(world, frame);
    if (!this.how.nearest || frame === undefined) return made;
    const split = polar(made);
    if (split === null) return made;
    const size = Math.cbrt(Math.abs(determinantOf(split.stretch)));
    const [x = 0, y = 0, z = 0] = made.subarray(12, 15);
    const out = split.turn.map((value, at) => (at < 12 ? value * size : value));
    out.set([x, y, z, 1], 12);
    return out;
  }
}

function determinantOf(matrix: Mat4): number {
  const [a = 0, b = 0, c = 0, , d = 0, e = 0, f = 0, , g = 0, h = 0, i = 0] = matrix;
  return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
}

/** Whether all keys of a spline are at rest. */
function stands(keys: Float32Array, rest: readonly number[]): boolean {
  const size = rest.length;
  const reach = Math.max(1e-3, ...rest.map(Math.abs));
  for (let at = 0; at + 3 * size <= keys.length; at += 3 * size) {
    let sign = 1;
    if (size === 4) {
      const cosine = rest.reduce((sum, value, i) => sum + value * (keys[at + size + i] ?? 0), 0);
      sign = cosine < 0 ? -1 : 1;
    }
    for (let i = 0; i < size; i++)
      if (Math.abs(sign * (keys[at + size + i] ?? 0) - (rest[i] ?? 0)) > 2e-7 * reach) return false;
  }
  return true;
}

/** A node between a joint and its other children gives these back what the joint lost. */
function hangBetween(
  edit: Editable,
  { between, nodes }: RebuildPlan,
  children: readonly (readonly number[])[],
): void {
  const handled = new Set(nodes.map(({ node }) => node));
  for (const [parent, back] of between) {
    const json = edit.json.nodes;
    const owner = json?.[parent];
    const split = polar(back);
    if (json === undefined || owner === undefined || split === null) continue;
    const moved = (children[parent] ?? []).filter(
      (child) => !handled.has(child) && json[child]?.skin === undefined,
    );
    const [first, second] = twoNodes(back);
    const inner = second === null ? null : json.push({ ...second, children: moved }) - 1;
    const outer = json.push({
      name: `${owner.name ?? `node ${parent}`}_shape`,
      ...first,
      children: inner === null ? moved : [inner],
    });
    owner.children = [
      ...(owner.children ?? []).filter((child) => !moved.includes(child)),
      outer - 1,
    ];
  }
}

type Part = Pick<NodeJson, 'translation' | 'rotation' | 'scale'>;

/** A linear map as one T R S, or as two where its axes are not square: A = Q V d V^T. */
function twoNodes(map: Mat4): [Part, Part | null] {
  const { translation, rotation, scale } = decompose(map);
  const whole = compose(translation, rotation, scale);
  const isOne = whole.every((value, at) => Math.abs(value - (map[at] ?? 0)) < 1e-9);
  if (isOne)
    return [{ translation: [...translation], rotation: [...rotation], scale: [...scale] }, null];
  const split = polar(map);
  const { axes, factors } = ownAxes(split?.stretch ?? identity());
  const left = multiply(split?.turn ?? identity(), axes);
  return [
    { translation: [...translation], rotation: [...rotationOf(left)], scale: [...factors] },
    { rotation: [...rotationOf(transposed(axes))] },
  ];
}

function changeInverseBinds(edit: Editable, frames: ReadonlyMap<number, Mat4>): void {
  edit.json.skins?.forEach(({ joints, inverseBindMatrices }, skin) => {
    if (!joints.some((joint) => frames.has(joint))) return;
    // Without matrices and without a mesh a skin only names joints, and nothing is to be taken back.
    if (
      inverseBindMatrices === undefined &&
      edit.json.nodes?.some((node) => node.skin === skin) !== true
    )
      return;
    const matrices = inverseBindOf(edit, skin);
    joints.forEach((joint, slot) => {
      const frame = frames.get(joint);
      const back = frame && invert(frame);
      if (back == null) return;
      const matrix = mat4At(matrices, slot);
      matrix.set(multiply(back, Float64Array.from(matrix)));
    });
    writeInverseBind(edit, skin, matrices);
  });
}
