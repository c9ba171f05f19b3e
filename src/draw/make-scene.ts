import { axisName, type Facts, type WantedOfRig } from '../measure/facts.js';
import { bindMesh } from '../measure/geometry/bind-mesh.js';
import { bindPose } from '../measure/pose/bind-pose.js';
import { sampleChannel } from '../measure/pose/clip-sampling.js';
import { posedJoints } from '../measure/pose/posed-joints.js';
import { conventions } from '../measure/skeleton/conventions.js';
import { CURL_DEGREES, curlAxes, curlPoints } from '../measure/skeleton/curl.js';
import { type SegmentRoll, segmentRolls } from '../measure/skeleton/roll.js';
import { identity, invert, mat4At, transformDirection } from '../rig/mat4.js';
import type { Clip, ClipChannel, Rig, RigModel, RigSkin } from '../rig/types.js';
import { direction, radians, type Vec3 } from '../rig/vec3.js';
import type { RigScene, Scene, SceneChain, SceneClip, SceneCurl, SceneTrack } from './scene.js';
import { strongestFour } from './strongest-four.js';

/** A joint farther off than this is posed; far below any limit of the rules. Share of size. */
const POSED_SHARE = 1e-4;
/** Samples from key to key of a cubic curve. */
const SAMPLES = 4;

/** What pictures need of the model of one asset. `wanted` is what its rigs were judged by. */
export function makeScene({ rigs }: RigModel, wanted: WantedOfRig): Scene {
  return { rigs: rigs.map((rig) => makeRigScene({ rig, wanted })) };
}

function makeRigScene(facts: Facts): RigScene {
  const { rig } = facts;
  const { nodes, joints } = rig;
  const order = shownNodes(rig);
  const placeOf = new Map(order.map((node, place) => [node, place]));
  const place = (node = -1): number => placeOf.get(node) ?? -1;
  const { aim, up } = conventions(facts);
  const { size } = bindMesh(facts);
  return {
    name: rig.name,
    nodes: order.map((node) => ({
      name: nodes.names[node] ?? '',
      parent: place(nodes.parent[node]),
      joint: joints.ofNode[node] ?? -1,
      local: [...mat4At(nodes.local, node)],
    })),
    jointNodes: [...joints.node].map(place),
    jointParents: [...joints.parent],
    skins: rig.skins.map((skin) => ({
      slots: [...skin.jointOfSlot].map((joint) => place(joints.node[joint])),
      inverseBind: sceneBinds(rig, skin),
    })),
    meshes: rig.parts.map((part) => ({
      label: part.label,
      skin: part.skin,
      positions: part.positions,
      triangles: Uint32Array.from(part.triangles ?? []),
      ...strongestFour(part),
    })),
    clips: rig.clips.map((clip) => straightClip(clip, place)),
    chains: segmentRolls(facts)
      .filter((segment) => segment.joints.length >= 3)
      .map((segment) => makeChain(facts, segment)),
    aim: aim && {
      middle: axisName(aim.middle),
      left: axisName(aim.left),
      right: axisName(aim.right),
    },
    up: up && axisName(up),
    posed: posedJoints(facts, POSED_SHARE * size).length > 0,
    size,
  };
}

/** Nodes that pose a joint: joints, what lies between them, and what is above. Parents first. */
function shownNodes({ nodes, joints }: Rig): number[] {
  const shown = new Set<number>();
  for (const joint of joints.node)
    for (let node = joint; node !== -1 && !shown.has(node); node = nodes.parent[node] ?? -1)
      shown.add(node);
  return [...nodes.order].filter((node) => shown.has(node));
}

/**
 * The inverse bind matrices of a skin as pictures can use them, 16 numbers a slot. One that holds no
 * numbers is replaced by that of the joint as stored, which leaves its skin where the file has it:
 * drawn with the matrix itself, all that the joint moves would be missing.
 */
export function sceneBinds({ nodes, joints }: Rig, skin: RigSkin): Float64Array {
  const { inverseBind, jointOfSlot } = skin;
  if (inverseBind.every(Number.isFinite)) return inverseBind;
  const usable = inverseBind.slice();
  jointOfSlot.forEach((joint, slot) => {
    const matrix = mat4At(usable, slot);
    if (matrix.every(Number.isFinite)) return;
    const node = joints.node[joint] ?? -1;
    matrix.set((node === -1 ? null : invert(mat4At(nodes.world, node))) ?? identity());
  });
  return usable;
}

/** A clip for players that go straight from key to key. `place` is the node's index in the scene. */
function straightClip({ name, channels }: Clip, place: (node: number) => number): SceneClip {
  const tracks = channels
    .filter(({ node, times }) => place(node) !== -1 && times.length > 0)
    .map((channel) => straightTrack(channel, place(channel.node)));
  const duration = tracks.reduce((most, { times }) => Math.max(most, times.at(-1) ?? 0), 0);
  return { name, duration, tracks };
}

function straightTrack(channel: ClipChannel, node: number): SceneTrack {
  const { path, interpolation, times, values, size } = channel;
  const track = { node, path, steps: interpolation === 'STEP' };
  if (interpolation !== 'CUBICSPLINE') return { ...track, times, values };
  const sampled = Float32Array.from(
    [...times].flatMap((time, key) => {
      const before = times[key - 1];
      if (before === undefined) return [time];
      const part = (index: number): number => ((time - before) * (index + 1)) / SAMPLES;
      return Array.from({ length: SAMPLES }, (_, index) => before + part(index));
    }),
  );
  const sample = new Float64Array(size);
  const straight = new Float32Array(size * sampled.length);
  sampled.forEach((time, index) => {
    sampleChannel(channel, time, sample);
    straight.set(sample, size * index);
  });
  return { ...track, times: sampled, values: straight };
}

function makeChain(facts: Facts, segment: SegmentRoll): SceneChain {
  const { places, world } = bindPose(facts);
  const { joints } = segment;
  const points = joints.map((joint): Vec3 => places[joint] ?? [0, 0, 0]);
  const step = radians(CURL_DEGREES) / (joints.length - 1);
  const toLocal = joints.map((joint) => invert(mat4At(world, joint)));
  const curl = (axes: readonly Vec3[]): SceneCurl => ({
    points: curlPoints(points, axes, step),
    axes: axes.map((axis, index): Vec3 => {
      const inverse = toLocal[index];
      return (inverse && direction(transformDirection(inverse, axis))) ?? [0, 1, 0];
    }),
  });
  const about = (which: 'up' | 'side'): Record<'own' | 'ideal', SceneCurl> => {
    const { own, ideal } = curlAxes(facts, segment, which);
    return { own: curl(own), ideal: curl(ideal) };
  };
  return { joints, about: { up: about('up'), side: about('side') } };
}
