import { axisName, type WantedOfRig } from '../../measure/facts.js';
import { aims } from '../../measure/skeleton/aim.js';
import { frameAngle } from '../../measure/skeleton/frames.js';
import type { RigReport } from '../../report/report-types.js';
import { columnLength, mat4At } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { distance } from '../../rig/vec3.js';
import { restWorld } from '../rest-mesh.js';
import { makeRigShape, type RigShape } from '../rig-shape.js';
import type { RigScene } from '../scene.js';

/** A rig on one side of a mend, as it was measured and as it is drawn. */
export interface RigSide {
  readonly rig: Rig;
  readonly scene: RigScene;
  readonly report: RigReport;
}

/** One rig before and after a mend; both shapes have the same bounds, so that they are drawn alike. */
export interface RigPair {
  readonly name: string;
  readonly sides: readonly [before: RigSide, after: RigSide];
  readonly shapes: readonly [before: RigShape, after: RigShape];
  /** Length of the axes of most joints after against before: of all, where a scale above them is gone. */
  readonly scaled: number;
  /** Joints that differ in more than that scale. */
  readonly changed: readonly ChangedJoint[];
}

/** A joint that stands, hangs or is called otherwise after a mend. */
export interface ChangedJoint {
  /** From 1 on, in the order of the joints before; those that are joints on one side alone come last. */
  readonly number: number;
  /** Index of the joint before and after; -1 where it is none. */
  readonly before: number;
  readonly after: number;
  readonly name: string;
  readonly path: string;
  /** Its new name; null where it keeps its own. */
  readonly renamed: string | null;
  /** Angle between its axes before and after, as stored. Degrees. */
  readonly turned: number;
  /** How far it moved, as stored; 1 is the size of the rig. */
  readonly moved: number;
  /** Length of its axes after against before, as stored, beyond the scale that most joints share. */
  readonly scaled: number;
  /** Names of the joints that it hung on and hangs on; null where it hangs where it hung. */
  readonly rehung: readonly [before: string | null, after: string | null] | null;
  /** How its aim axis meets its bone before and after; null where it has no bone to aim along. */
  readonly aim: readonly [before: AimSeen | null, after: AimSeen | null];
}

/** A signed axis such as `+Y`, and the degrees that it is off the bone. */
export interface AimSeen {
  readonly axis: string;
  readonly miss: number;
}

/** What float32 leaves of a turn, a place or a scale that is kept: less is no change. */
const SAME = { degrees: 0.05, share: 1e-5, scale: 1e-4 };

/** Pairs the joints by their nodes, which a mend keeps, and lists those that changed. */
export function pairRig(before: RigSide, after: RigSide, wanted: WantedOfRig): RigPair {
  const sides = [before, after] as const;
  const [old, now] = sides.map(({ scene, report }) => makeRigShape(report.index, scene, report));
  if (old === undefined || now === undefined) throw new Error('a rig has two sides');
  const bounds = {
    min: least(old.bounds.min, now.bounds.min, Math.min),
    max: least(old.bounds.max, now.bounds.max, Math.max),
  };
  // Each side has silhouettes of its own, which pictures find by this index.
  const index = 2 * before.report.index;
  const shapes = [
    { ...old, bounds, index },
    { ...now, bounds, index: index + 1 },
  ] as const;
  const name = before.report.name;
  const all = pairedJoints(sides, shapes, wanted);
  const scaled = middle(all.flatMap((joint) => (isJointOfBoth(joint) ? [joint.scaled] : [])));
  const changed = all
    .map((joint) => ({ ...joint, scaled: isJointOfBoth(joint) ? joint.scaled / scaled : 1 }))
    .filter(isChanged)
    // Joints that have two frames to be compared come first.
    .sort((a, b) => Number(isJointOfBoth(b)) - Number(isJointOfBoth(a)))
    .map((joint, index) => ({ number: index + 1, ...joint }));
  return { name, sides, shapes, scaled, changed };
}

/** Median; 1 of nothing. */
function middle(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? 1;
}

function isJointOfBoth({ before, after }: Pick<ChangedJoint, 'before' | 'after'>): boolean {
  return before !== -1 && after !== -1;
}

function pairedJoints(
  sides: RigPair['sides'],
  shapes: RigPair['shapes'],
  wanted: WantedOfRig,
): Omit<ChangedJoint, 'number'>[] {
  const [before, after] = sides;
  const indexOfNode = new Map(after.report.joints.map(({ node }, joint) => [node, joint]));
  const nodesBefore = new Set(before.report.joints.map(({ node }) => node));
  const aimOf = sides.map(({ rig }) => aimsSeen(rig, wanted));
  const lengths = sides.map(axisLengths);
  const pairs = [
    ...before.report.joints.map(({ node }, joint) => [joint, indexOfNode.get(node) ?? -1] as const),
    ...after.report.joints.flatMap(({ node }, joint) =>
      nodesBefore.has(node) ? [] : [[-1, joint] as const],
    ),
  ];
  const parentOf = ({ report }: RigSide, joint: number) =>
    report.joints[report.joints[joint]?.parent ?? -1] ?? null;
  return pairs.map(([old, now]) => {
    const [a, b] = [shapes[0].joints[old], shapes[1].joints[now]];
    const [was, is] = [before.report.joints[old], after.report.joints[now]];
    const [above, aboveNow] = [parentOf(before, old), parentOf(after, now)];
    const isBoth = was !== undefined && is !== undefined;
    const [length, lengthNow] = [lengths[0]?.[old] ?? 0, lengths[1]?.[now] ?? 0];
    return {
      before: old,
      after: now,
      name: (was ?? is)?.name ?? '',
      path: (was ?? is)?.path ?? '',
      renamed: isBoth && was.name !== is.name ? is.name : null,
      turned: a?.axes && b?.axes ? frameAngle(a.axes, b.axes) : 0,
      moved: a?.place && b?.place ? distance(a.place, b.place) / (before.scene.size || 1) : 0,
      scaled: length > 0 && lengthNow > 0 ? lengthNow / length : 1,
      rehung:
        isBoth && above?.node !== aboveNow?.node
          ? ([above?.name ?? null, aboveNow?.name ?? null] as const)
          : null,
      aim: [aimOf[0]?.get(old) ?? null, aimOf[1]?.get(now) ?? null] as const,
    };
  });
}

function isChanged(joint: Omit<ChangedJoint, 'number'>): boolean {
  return (
    !isJointOfBoth(joint) ||
    joint.renamed !== null ||
    joint.rehung !== null ||
    isTurned(joint) ||
    isMoved(joint) ||
    isScaled(joint)
  );
}

export function isTurned({ turned }: Pick<ChangedJoint, 'turned'>): boolean {
  return turned > SAME.degrees;
}

export function isMoved({ moved }: Pick<ChangedJoint, 'moved'>): boolean {
  return moved > SAME.share;
}

export function isScaled({ scaled }: Pick<ChangedJoint, 'scaled'>): boolean {
  return Math.abs(scaled - 1) > SAME.scale;
}

/** By joint, as the rules about aim axes measure it. */
function aimsSeen(rig: Rig, wanted: WantedOfRig): Map<number, AimSeen> {
  return new Map(
    aims({ rig, wanted }).map(({ joint, axis, miss }) => [joint, { axis: axisName(axis), miss }]),
  );
}

/** Mean length of the axes of each joint as stored. */
function axisLengths({ scene }: RigSide): number[] {
  const world = restWorld(scene);
  return scene.jointNodes.map((node) => {
    const matrix = mat4At(world, node);
    return (columnLength(matrix, 0) + columnLength(matrix, 1) + columnLength(matrix, 2)) / 3;
  });
}

type Three = readonly [number, number, number];

function least(a: Three, b: Three, pick: (x: number, y: number) => number): Three {
  return [pick(a[0], b[0]), pick(a[1], b[1]), pick(a[2], b[2])];
}
