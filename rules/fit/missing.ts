import { type Finding, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { absentBranches } from '../../src/measure/fit/absent.js';
import { approvedFacts } from '../../src/measure/fit/matching.js';
import { otherNames } from '../../src/measure/fit/other-names.js';
import { against, limit } from '../parts.js';
import { branchFinding, nameFinding, unanswered } from './missing-findings.js';
import { type MissingDetails, missingWords } from './missing-words.js';

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
      details: {
        kind: 'nothing',
        count,
        asset: approved?.name ?? '',
        clipsAlone: approved?.clipsAlone === true,
      },
    });
  },
  say: ({ details, limit }, words) => missingWords(details, limit ?? 0, words),
});
