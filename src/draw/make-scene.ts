import { pairByMesh } from '../check/pair-by-mesh.js';
import { pairRigs } from '../check/pair-rigs.js';
import type { LimitOf } from '../kit/rule.js';
import { axisName, type Facts, type WantedOfRig } from '../measure/facts.js';
import { bindMesh } from '../measure/geometry/bind-mesh.js';
import { posedJoints } from '../measure/pose/posed-joints.js';
import { conventions } from '../measure/skeleton/conventions.js';
import { identity, invert, mat4At } from '../rig/mat4.js';
import type { ApprovedAsset, Rig, RigModel, RigSkin } from '../rig/types.js';
import { layModel } from './lay-model.js';
import { layOver } from './lay-over.js';
import type { RigScene, Scene } from './scene.js';
import { sceneChains } from './scene-chains.js';
import { straightClip } from './scene-clip.js';
import { sceneSkeleton } from './scene-skeleton.js';
import { strongestFour } from './strongest-four.js';

/** A joint farther off than this is posed; far below any limit of the rules. Share of size. */
const POSED_SHARE = 1e-4;

/**
 * What pictures need of the model of one asset. `wanted` is what its rigs were judged by, and `approved`
 * the asset that they were compared with; the worst moments of its clips are told by `limitOf`. `model` is
 * the one of a class, which is laid over them by its mesh.
 */
export function makeScene(
  { rigs }: RigModel,
  wanted: WantedOfRig,
  approved: ApprovedAsset | null = null,
  limitOf: LimitOf | null = null,
  model: ApprovedAsset | null = null,
): Scene {
  const pairing = approved && pairRigs(approved, rigs);
  const byMesh = model === null ? [] : pairByMesh(model, rigs, wanted);
  return {
    rigs: rigs.map((rig) => {
      const liked = byMesh.find(({ facts }) => facts.rig === rig);
      if (liked !== undefined) {
        const scene = makeRigScene({ rig, wanted });
        const over = layModel(liked.facts, scene);
        return over === null ? scene : { ...scene, approved: over };
      }
      const against = pairing?.get(rig);
      if (against === undefined) return makeRigScene({ rig, wanted });
      const facts: Facts = { rig, wanted, approved: against };
      const scene = makeRigScene(facts);
      const over = layOver(facts, scene, limitOf);
      return over === null ? scene : { ...scene, approved: over };
    }),
  };
}

function makeRigScene(facts: Facts): RigScene {
  const { rig } = facts;
  const { joints } = rig;
  const { skeleton, place } = sceneSkeleton(rig);
  const { aim, up } = conventions(facts);
  const { size } = bindMesh(facts);
  return {
    name: rig.name,
    ...skeleton,
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
    chains: sceneChains(facts),
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
