import {
  atJoints,
  type Finding,
  judged,
  judgedAsOne,
  type Level,
  notApplicable,
} from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { type AbsentBranch, absentBranches, posedJoints } from '../../src/measure/fit/absent.js';
import { alignment } from '../../src/measure/fit/alignment.js';
import { type Counterpart, counterparts } from '../../src/measure/fit/counterparts.js';
import { approvedFacts } from '../../src/measure/fit/matching.js';
import { type OtherNames, otherNames } from '../../src/measure/fit/other-names.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, point } from '../parts.js';
import { type MissingDetails, missingWords } from './missing-words.js';
import { approvedNames } from './with-approved.js';

/** What a clip poses and cannot find stays as it is, without a word. */
export const fitMissing = rule({
  id: 'fit.missing',
  level: 'error',
  milder: 'warning',
  title: 'joints of the approved rig that are missing or have another name',
  why: 'Clips find joints by their names. A joint that is missing, or has another name, stays still while the clip plays, and nothing says so.',
  formula:
    'The joints of the approved rig are looked for by their path below the body root, by their name, by their name without prefix and with side and number read out of it, and by the VRM mapping. Joints found in one of the last two ways have another name, and have one finding. So do joints that stand where a missing one belongs (its children hang on them, or they are within 5 % of size), and left and right whose names are exchanged. Each other branch of missing joints has one finding, at the joint that it should hang on. A finding is an error when a clip of the approved asset poses a joint of it or such a joint moves skin there, else a warning.',
  remedy:
    'Give the joint the name that it has in the approved rig, or add the joint that is missing.',
  source: 'common practice',
  limits: {
    joints: limit(0, 'joints', 'joints of the approved rig that are not there by their name'),
  },
  onApproved: true,
  check(facts, limits) {
    const findings: Finding<MissingDetails>[] = [...unanswered(facts)];
    const theirs = approvedFacts(facts);
    if (theirs === null)
      return findings.length > 0
        ? judged('rigs', findings.length, findings)
        : notApplicable('the approved asset has no rig for this one');
    const looked = theirs.rig.joints.count;
    const names = otherNames(facts);
    const branches = absentBranches(facts);
    const short = branches.reduce((sum, { joints }) => sum + joints.length, 0);
    const renamed = Object.values(names).reduce((sum, list) => sum + list.length, 0);
    if (short + renamed <= limits.joints) return judged('joints', looked, findings);
    const counts = (count: number) => ({ counts: { looked, short: count } });
    for (const kind of ['spelled', 'stands', 'exchanged'] as const) {
      if (names[kind].length === 0) continue;
      findings.push({
        ...nameFinding(facts, theirs, kind, names[kind], limits.joints),
        ...counts(names[kind].length),
      });
    }
    for (const branch of branches)
      findings.push({
        ...branchFinding(facts, theirs, branch, limits.joints),
        ...counts(branch.joints.length),
      });
    return judged('joints', looked, findings, short + renamed);
  },
  withoutRig({ clips }, _, approved) {
    // What a file of clips poses is asked by fit.clip.
    if (clips.length > 0) return notApplicable('the file has clips and no rig');
    const rigs = approved?.model.rigs ?? [];
    const count = rigs.reduce((sum, { joints }) => sum + joints.count, 0);
    return judgedAsOne<MissingDetails>('rigs', Math.max(1, rigs.length), {
      level: 'error',
      place: { kind: 'asset' },
      ...against(count, 0, 'joints'),
      counts: { looked: Math.max(1, rigs.length), short: Math.max(1, rigs.length) },
      details: { kind: 'nothing', count, asset: approved?.name ?? '' },
    });
  },
  say: ({ details, limit }, words) => missingWords(details, limit ?? 0, words),
});

/** Rigs of the approved asset that no rig of this one answers to; the first rig tells. */
function unanswered({ approved, rig }: Facts): Finding<MissingDetails>[] {
  return (approved?.unanswered ?? []).map(({ name, index, joints: { count } }) => ({
    level: 'error',
    place: { kind: 'rig' },
    aspect: `rig ${index} ${name}`,
    ...against(count, 0, 'joints'),
    counts: { looked: count, short: count },
    details: { kind: 'rig', name, count, asset: approved?.asset.name ?? '', own: rig.name },
  }));
}

function nameFinding(
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

function branchFinding(
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
