import { axisName, type Facts } from '../measure/facts.js';
import { bindMesh } from '../measure/geometry/bind-mesh.js';
import { bindPose } from '../measure/pose/bind-pose.js';
import { posedJoints } from '../measure/pose/posed-joints.js';
import { conventions } from '../measure/skeleton/conventions.js';
import { CURL_DEGREES, curlAxes, curlPoints } from '../measure/skeleton/curl.js';
import { type SegmentRoll, segmentRolls } from '../measure/skeleton/roll.js';
import { invert, mat4At, transformDirection } from '../rig/mat4.js';
import type { Rig, RigModel } from '../rig/types.js';
import { direction, type Vec3 } from '../rig/vec3.js';
import { sceneBinds } from './scene-binds.js';
import type { RigScene, Scene, SceneChain, SceneCurl } from './scene-types.js';
import { straightClip } from './straight-clip.js';
import { strongestFour } from './strongest-four.js';

/** Far below any limit of the rules. Share of size. */
const POSED_SHARE = 1e-4;

/** Takes what pictures need from the model of one asset. `facts` gives the facts that a rig was judged by. */
export function makeScene(model: RigModel, facts: (rig: Rig) => Facts): Scene {
  return { rigs: model.rigs.map((rig) => makeRigScene(facts(rig))) };
}

function makeRigScene(facts: Facts): RigScene {
  const { rig } = facts;
  const { nodes, joints } = rig;
  const order = shownNodes(rig);
  const placeOf = new Map(order.map((node, place) => [node, place]));
  const place = (node: number): number => placeOf.get(node) ?? -1;
  const { aim, up } = conventions(facts);
  return {
    name: rig.name,
    nodes: order.map((node) => ({
      name: nodes.names[node] ?? '',
      parent: place(nodes.parent[node] ?? -1),
      joint: joints.ofNode[node] ?? -1,
      local: [...mat4At(nodes.local, node)],
    })),
    jointNodes: [...joints.node].map(place),
    jointParents: [...joints.parent],
    skins: rig.skins.map((skin) => ({
      slots: [...skin.jointOfSlot].map((joint) => place(joints.node[joint] ?? -1)),
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
    posed: posedJoints(facts, POSED_SHARE * bindMesh(facts).size).length > 0,
    size: bindMesh(facts).size,
  };
}

/** Nodes that pose a joint: joints, what lies between them, and what is above. Parents first. */
function shownNodes({ nodes, joints }: Rig): number[] {
  const shown = new Set<number>();
  for (const node of joints.node)
    for (let at = node; at !== -1 && !shown.has(at); at = nodes.parent[at] ?? -1) shown.add(at);
  return [...nodes.order].filter((node) => shown.has(node));
}

function makeChain(facts: Facts, segment: SegmentRoll): SceneChain {
  const { places, world } = bindPose(facts);
  const { joints } = segment;
  const points = joints.map((joint): Vec3 => places[joint] ?? [0, 0, 0]);
  const step = (CURL_DEGREES * Math.PI) / 180 / (joints.length - 1);
  const toLocal = joints.map((joint) => invert(mat4At(world, joint)));
  const curl = (axes: readonly Vec3[]): SceneCurl => ({
    points: curlPoints(points, axes, step),
    axes: axes.map((axis, at): Vec3 => {
      const inverse = toLocal[at];
      return (inverse && direction(transformDirection(inverse, axis))) ?? [0, 1, 0];
    }),
  });
  const about = (which: 'up' | 'side'): Record<'own' | 'ideal', SceneCurl> => {
    const { own, ideal } = curlAxes(facts, segment, which);
    return { own: curl(own), ideal: curl(ideal) };
  };
  return { joints, about: { up: about('up'), side: about('side') } };
}
