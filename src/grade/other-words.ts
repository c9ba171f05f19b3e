import { alsoWords } from '../report/places.js';
import type { JointReport, PlaceReport } from '../report/report-types.js';

/** So many other places are listed one by one, by their paths. */
const BY_PATH = 3;
/** Limbs, and joints beside them, that are named. */
const NAMED = 12;

/**
 * What a finding lists besides its own place: a few by their paths; many joints by limbs, such as
 * `These are all joints from "collarbone_L", "collarbone_R" outward.` Names are raw.
 */
export function otherWords(
  others: readonly PlaceReport[],
  own: PlaceReport,
  joints: readonly JointReport[],
): string {
  const listed = [own, ...others].map(({ joint }) => joint);
  const isOfJoints = listed.every((joint) => joint !== null && joints[joint] !== undefined);
  if (others.length <= BY_PATH || !isOfJoints) return alsoWords(others);
  const atFault = new Set(listed.flatMap((joint) => (joint === null ? [] : [joint])));
  const { limbs, single } = limbsOf(atFault, joints);
  const name = (joint: number): string => `"${joints[joint]?.name ?? ''}"`;
  const parts = [
    limbs.length > 0 && `all joints from ${listWords(limbs.map(name))} outward`,
    single.length > 0 && listWords(single.map(name)),
  ].filter((part) => part !== false);
  return `These are ${parts.join(', and ')}.`;
}

/** Joints below which all are listed, and those that are listed for themselves; in joint order. */
function limbsOf(
  atFault: ReadonlySet<number>,
  joints: readonly JointReport[],
): { limbs: number[]; single: number[] } {
  // Parents come first, so that what is below is known when a joint is reached from the end.
  const isWhole = joints.map((_, joint) => atFault.has(joint));
  const below = new Int32Array(joints.length);
  for (let joint = joints.length - 1; joint >= 0; joint--) {
    const parent = joints[joint]?.parent ?? -1;
    if (parent === -1) continue;
    below[parent] = (below[parent] ?? 0) + 1 + (below[joint] ?? 0);
    if (isWhole[joint] !== true) isWhole[parent] = false;
  }
  const limbs: number[] = [];
  const single: number[] = [];
  const isIn = new Uint8Array(joints.length);
  for (const [joint, { parent }] of joints.entries()) {
    if (isIn[parent] === 1) isIn[joint] = 1;
    else if (isWhole[joint] === true && (below[joint] ?? 0) > 0) {
      isIn[joint] = 1;
      limbs.push(joint);
    } else if (atFault.has(joint)) single.push(joint);
  }
  return { limbs, single };
}

/** `"a", "b" and 3 more`. */
function listWords(names: readonly string[]): string {
  const more = names.length - NAMED;
  return names.slice(0, NAMED).join(', ') + (more > 0 ? ` and ${more} more` : '');
}
