import { significant } from '../../kit/figures.js';
import type { Facts } from '../../measure/facts.js';
import { bindMesh } from '../../measure/geometry/bind-mesh.js';
import { ClipPose, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { boxAround } from '../../rig/box.js';
import { largestShift, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { RigSkin } from '../../rig/types.js';
import { vec3At } from '../../rig/vec3.js';
import { inverseBindOf, writeInverseBinds } from '../file/inverse-bind.js';
import { type UsableMatrix, usableMatrices } from '../pose/usable-matrices.js';
import { LARGEST_SHIFT } from '../proof/proof-limits.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

const RULE = 'skin.bind-matrix';

/**
 * Gives joints inverse bind matrices that can be used: with the last row that the format asks for, or made from
 * where the joint is stored. Nothing is seen of one that moves no vertex, nor of a last row where the joint
 * stands at the origin. A skin is mended as a whole: its matrices are stored together. Only matrices that the
 * file came with are mended.
 */
export const bindMatrices: Repair = {
  name: 'bind matrices',
  tells:
    'Inverse bind matrices that cannot be used get the last row 0 0 0 1, or are made anew from where the joint is stored. If a pose of the file shows the change, `--allow-change` must allow it.',
  rules: [RULE],
  mend(context: MendContext): Mended {
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const written = new Map<number, Float64Array>();
    let isSeen = false;
    for (const { rig, places } of context.findings) {
      const found = context.model.rigs.find(({ index }) => index === rig);
      const [first] = places;
      if (found === undefined || first === undefined) continue;
      const facts = context.facts(found);
      for (const [place, skin] of found.skins.entries()) {
        const usable = usableMatrices(facts, skin, place);
        if (usable.length === 0 || written.has(skin.index)) continue;
        const mended = usable.filter((matrix) => matrix !== null);
        const moved = largestMove(facts, skin, place, mended);
        const shows = moved > UNSEEN;
        const isMade = context.edit.isWritten({ kind: 'inverse bind', skin: skin.index });
        const why = usable.includes(null)
          ? WHY_FLAT
          : shows && !context.allow.has(RULE)
            ? whySeen(moved)
            : isMade
              ? WHY_MADE
              : null;
        if (why !== null) {
          left.push({ rule: RULE, place: first.path, why });
          continue;
        }
        isSeen ||= shows;
        const matrices = inverseBindOf(context.edit, skin.index);
        for (const { slot, matrix } of mended) matrices.set(matrix, 16 * slot);
        written.set(skin.index, matrices);
        changes.push(...told(found.joints.paths, mended));
      }
    }
    writeInverseBinds(context.edit, written);
    return { changes, left, seen: isSeen ? [RULE] : [] };
  },
};

/** Half of what a proof allows, so that the rounding of other repairs has room. Share of size. */
const UNSEEN = LARGEST_SHIFT / 2;

const WHY_FLAT =
  'a joint is scaled to nothing where it is stored, and no matrix can bind it there; give it a scale above 0, and bind the mesh again';

/** What another repair broke is not to be covered up: where the joint was built would be lost. */
const WHY_MADE = 'another repair of this mend has made it so';

function whySeen(moved: number): string {
  const far = Number.isFinite(moved)
    ? `the joints move skin, and a matrix that can be used takes it up to ${significant(100 * moved)} % of the size elsewhere (limit ${significant(100 * UNSEEN)} %)`
    : 'the joints move skin, which has no place now and gets one by a matrix that can be used';
  return `${far}; bind the mesh again, or add --allow-change ${RULE}`;
}

/** One line for all matrices that were mended alike. */
function told(paths: readonly string[], mended: readonly UsableMatrix[]): Change[] {
  return [true, false].flatMap((isOwn) => {
    const alike = mended.filter((matrix) => matrix.isOwn === isOwn);
    const [first] = alike;
    if (first === undefined) return [];
    const count =
      alike.length === 1 ? '1 inverse bind matrix' : `${alike.length} inverse bind matrices`;
    const [before, after] = isOwn
      ? [`${count} with a last row other than 0 0 0 1`, 'the last row is 0 0 0 1']
      : [`${count} missing or unusable`, 'made from where the joints are stored'];
    return [{ rule: RULE, place: paths[first.joint] ?? '', before, after }];
  });
}

/**
 * How far other matrices would move anything in the box around the mesh, in the stored pose and in all clips.
 * Share of size; Infinity where there is no place now. A joint that moves no vertex moves none.
 */
function largestMove(
  facts: Facts,
  skin: RigSkin,
  place: number,
  mended: readonly UsableMatrix[],
): number {
  const { rig } = facts;
  const parts = rig.parts.filter((part) => part.skin === place);
  const moving = new Set<number>();
  for (const { slots, weights } of parts)
    slots.forEach((slot, at) => {
      if (weights[at] !== 0) moving.add(slot);
    });
  const shown = mended.filter(({ slot }) => moving.has(slot));
  if (shown.length === 0) return 0;
  const { min, max } = boxAround(
    parts.flatMap(({ positions, vertexCount }) =>
      Array.from({ length: vertexCount }, (_, vertex) => vec3At(positions, vertex)),
    ),
  );
  let most = 0;
  const look = (worldOf: (node: number) => Mat4): void => {
    for (const { slot, joint, matrix } of shown) {
      const world = worldOf(rig.joints.node[joint] ?? 0);
      const now = multiply(world, mat4At(skin.inverseBind, slot));
      const shift = largestShift(now, multiply(world, matrix), min, max);
      most = Math.max(most, Number.isFinite(shift) ? shift : Infinity);
    }
  };
  look((node) => mat4At(rig.nodes.world, node));
  for (const clip of rig.clips) {
    const pose = new ClipPose(rig, clip);
    for (const time of sampleTimes(clip.channels)) {
      pose.seek(time);
      look((node) => pose.worldOf(node));
    }
  }
  const { size } = bindMesh(facts);
  return size > 0 ? most / size : most;
}
