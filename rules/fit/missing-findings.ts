import { atJoints, type Finding, type Level } from '../../src/kit/finding.js';
import type { Facts } from '../../src/measure/facts.js';
import { type AbsentBranch, posedJoints } from '../../src/measure/fit/absent.js';
import { alignment } from '../../src/measure/fit/alignment.js';
import { type Counterpart, counterparts } from '../../src/measure/fit/counterparts.js';
import type { OtherNames } from '../../src/measure/fit/other-names.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, point } from '../parts.js';
import type { MissingDetails } from './missing-words.js';
import { approvedNames } from './with-approved.js';

/** Rigs of the approved asset that no rig of this one answers to; the first rig tells. */
export function unanswered({ approved, rig }: Facts): Finding<MissingDetails>[] {
  return (approved?.unanswered ?? []).map(({ name, index, joints: { count } }) => ({
    level: 'error',
    place: { kind: 'rig' },
    aspect: `rig ${index} ${name}`,
    ...against(count, 0, 'joints'),
    counts: { looked: count, short: count },
    details: { kind: 'rig', name, count, asset: approved?.asset.name ?? '', own: rig.name },
  }));
}

/** Joints that are there under another name, of one kind. */
export function nameFinding(
  facts: Facts,
  theirs: Facts,
  kind: keyof OtherNames,
  list: readonly Counterpart[],
  most: number,
): Finding<MissingDetails> {
  const names = approvedNames(facts);
  const { moves } = skinMass(theirs);
  const posed = posedJoints(facts);
  const matters = list.some(({ approved }) => posed.has(approved) || moves[approved] === 1);
  return {
    ...atJoints(list.map(({ joint }) => joint)),
    level: matters ? 'error' : 'warning',
    aspect: kind,
    ...against(list.length, most, 'joints'),
    details: {
      kind,
      joints: list.map(({ joint, approved }) => ({ joint, wanted: names.joint(approved) })),
    },
  };
}

/** A branch of joints that are not there at all. */
export function branchFinding(
  facts: Facts,
  theirs: Facts,
  { tops, joints, posed, moving }: AbsentBranch,
  most: number,
): Finding<MissingDetails> {
  const [top = -1] = tops;
  const { parent, paths, count } = theirs.rig.joints;
  const found = counterparts(facts);
  const names = approvedNames(facts);
  const level: Level = posed + moving > 0 ? 'error' : 'warning';
  const above = parent[top] ?? -1;
  const on = found?.ofApproved[above] ?? -1;
  const laid = alignment(facts);
  const place = laid?.approved.places[top];
  return {
    level,
    place: on === -1 ? { kind: 'rig' } : { kind: 'joint', joint: on },
    // Several branches can hang on one joint.
    aspect: paths[top] ?? '',
    ...against(joints.length, most, 'joints'),
    evidence: laid && place ? [point('missing', laid.toRig(place))] : [],
    details: {
      kind: 'branch',
      tops: names.joints(tops),
      several: tops.length > 1,
      more: joints.length - tops.length,
      all: joints.length === count,
      on,
      posed,
      moving,
    },
  };
}
