import type { ChannelPath } from '../asset/gltf-types.js';
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
import { straightClip } from './straight-clip.js';
import { strongestFour } from './strongest-four.js';

/** One asset as pictures of it need it: what was read, with nothing of a file format left. */
export interface Scene {
  /** As in the report. */
  readonly rigs: readonly RigScene[];
}

export interface RigScene {
  readonly name: string;
  /** Holders, joints and spacers, parents before children, as stored in the file. */
  readonly nodes: readonly SceneNode[];
  /** Node of each joint, in the report's joint order; an index in `nodes`. */
  readonly jointNodes: readonly number[];
  /** Parent joint of each joint, -1 at the top. */
  readonly jointParents: readonly number[];
  readonly skins: readonly SceneSkin[];
  readonly meshes: readonly SceneMesh[];
  readonly clips: readonly SceneClip[];
  readonly chains: readonly SceneChain[];
  /** Signed axes such as `+X` that the rig's frames are held to; null where it shows none. */
  readonly aim: { readonly middle: string; readonly left: string; readonly right: string } | null;
  readonly up: string | null;
  /** Whether joints stand elsewhere as stored than where the mesh was bound to them. */
  readonly posed: boolean;
  /** Diagonal of the bind-posed mesh, world units. */
  readonly size: number;
}

export interface SceneNode {
  readonly name: string;
  /** Index in `RigScene.nodes`, -1 at the top. */
  readonly parent: number;
  /** Joint index, -1 for a holder or spacer. */
  readonly joint: number;
  /** Local matrix as stored, column-major. */
  readonly local: readonly number[];
}

export interface SceneSkin {
  /** Index in `RigScene.nodes` of each slot. */
  readonly slots: readonly number[];
  /** 16 numbers a slot. */
  readonly inverseBind: Float64Array;
}

/** One primitive. Vertices are in the mesh's own frame, as glTF 2.0 stores them. */
export interface SceneMesh {
  readonly label: string;
  /** Index in `RigScene.skins`. */
  readonly skin: number;
  /** x, y, z a vertex. */
  readonly positions: Float32Array;
  /** Three vertex indices a triangle. */
  readonly triangles: Uint32Array;
  /** Four a vertex: slot in the skin. */
  readonly slots: Uint16Array;
  /** Four a vertex, summing to 1, or all 0 for a vertex that nothing moves. */
  readonly weights: Float32Array;
}

/** A clip sampled so that straight lines between the samples are near enough to be looked at. */
export interface SceneClip {
  readonly name: string;
  /** Seconds. */
  readonly duration: number;
  readonly tracks: readonly SceneTrack[];
}

export interface SceneTrack {
  /** Index in `RigScene.nodes`. */
  readonly node: number;
  readonly path: ChannelPath;
  /** Whether a value holds until the next, rather than going over to it. */
  readonly steps: boolean;
  /** Seconds, ascending. */
  readonly times: Float32Array;
  /** 3 or 4 numbers a time. */
  readonly values: Float32Array;
}

/** A segment of three joints or more, and how it curls. */
export interface SceneChain {
  readonly joints: readonly number[];
  /** Curled about each joint's own axes, and about those of frames carried along the segment. */
  readonly about: Readonly<Record<'up' | 'side', Readonly<Record<'own' | 'ideal', SceneCurl>>>>;
}

export interface SceneCurl {
  /** Where each joint comes to stand after a whole curl (90 degrees in all) of the bind pose; world space. */
  readonly points: readonly Vec3[];
  /** Unit axis that each joint is turned about, in its own local frame; the first joint is not turned. */
  readonly axes: readonly Vec3[];
}

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
