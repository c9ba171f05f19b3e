import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { CastName } from '../../../fixtures/kit/fault.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { rules } from '../../../rules/index.js';
import { checkAssetBytes } from '../../../src/check/check-asset.js';
import { defaultSettings } from '../../../src/check/settings.js';
import type { Grade } from '../../../src/grade/grade-assets.js';
import { rubricOf } from '../../../src/grade/rubric.js';
import { markSubmission } from '../../../src/grade/submission.js';
import { showLost, showTenths } from '../../../src/grade/tenths.js';
import type { AssetReport } from '../../../src/report/report-types.js';
import { table } from './markdown.js';

/** A made-up rig: a puppet of the cast with some faults, and why what it gets is fair. */
interface GradedRig {
  readonly puppet: CastName;
  /** Those that build the puppet anew, such as knees at another place, come first. */
  readonly faults: readonly Wrong[];
  readonly fair: string;
}

/** One thing that is wrong with it: in words, and the rule that has to find it. */
interface Wrong {
  readonly tells: string;
  readonly rule: string;
  readonly apply: (puppet: Puppet) => void;
}

/** A fault of the cast, in words of this table. */
function known(name: string, tells: string): Wrong {
  const { rule, apply, failing } = faultNamed(name);
  return { tells, rule, apply: (puppet) => apply(puppet, failing) };
}

const programNames: Wrong = {
  tells: 'every joint has the name that a program gave it',
  rule: 'name.default',
  apply: ({ joints }) => {
    for (const [at, joint] of joints.entries()) joint.label = `joint${at + 1}`;
  },
};

const oneProgramName: Wrong = {
  tells: 'the neck has the name that a program gave it',
  rule: 'name.default',
  apply: (puppet) => {
    puppet.joint('neck').label = 'joint12';
  },
};

/** Joints that are rolled about their aim axes, each off its neighbours. */
function rolled(joints: readonly string[], degrees: number, tells: string): Wrong {
  const apply = (puppet: Puppet): void => {
    for (const joint of joints) puppet.turnFrame(joint, 'aim', degrees);
  };
  return { tells, rule: 'axis.up', apply };
}

const SIX = ['upper_arm_L', 'upper_arm_R', 'shin_L', 'shin_R', 'spine_mid', 'hand_L'];
const sixRolled = rolled(SIX, 12, 'six joints of arms, legs and spine are rolled by 12°');
const sixFlipped = rolled(SIX, 180, 'six joints of arms, legs and spine are flipped by 180°');
const neckRolled = rolled(['neck'], 12, 'the neck is rolled by 12°');
const shinFlipped = rolled(['shin_L'], 180, 'the left shin is flipped by 180°');
const shinsFlipped = rolled(['shin_L', 'shin_R'], 180, 'both shins are flipped by 180°');

const unpainted: Wrong = {
  tells: 'no joint moves the skin of the left foot',
  rule: 'skin.unweighted',
  apply: ({ parts }) => {
    for (const part of parts)
      part.influences = part.influences.map((list) =>
        list.length === 1 && list[0]?.[0] === 'foot_L' ? [] : list,
      );
  },
};

const scaledThighs: Wrong = {
  tells: 'both thighs have a scale of a half along one axis',
  rule: 'scale.nonuniform',
  apply: (puppet) => {
    for (const side of ['L', 'R']) puppet.joint(`thigh_${side}`).scale = [1, 0.5, 1];
  },
};

const converted = known('quarter-turn-holder', 'an export left a quarter turn above the root');
const kneesUnderSkin = known('knees-under-the-skin', 'both knees lie just under the skin');
const turnedHolder = known('turned-holder', 'the node above the root is left turned');
const inWave = known('stored-in-a-wave', 'it is stored in a pose of its clip, two joints turned');
const onPartner = known('thigh-on-its-partner', 'three vertices of a thigh hang on the other one');
const mirroredToe = known('mirrored-toe', 'one toe has a scale of -1');
const thighsOnCarrier = known('thighs-on-the-carrier', 'both thighs hang on the ground root');
const kneesInAir = known('knees-in-the-air', 'both knees stand before the legs');

/** The best first, as a teacher would order them who sees the rigs and no points. */
export const GRADED_RIGS: readonly GradedRig[] = [
  { puppet: 'marionette', faults: [], fair: 'Nothing is at fault.' },
  {
    puppet: 'heron',
    faults: [converted],
    fair: 'A leftover of an export is a note. Nobody has to work around it.',
  },
  {
    puppet: 'marionette',
    faults: [kneesUnderSkin],
    fair: 'A note: the knees bend well enough. Notes cost nothing.',
  },
  {
    puppet: 'marionette',
    faults: [turnedHolder],
    fair: 'One warning costs little: half of the lowest band of its family.',
  },
  {
    puppet: 'marionette',
    faults: [inWave],
    fair: 'Two joints are not zeroed: the same band as one.',
  },
  {
    puppet: 'marionette',
    faults: [oneProgramName],
    fair: 'A slip. Names weigh as much as skinning, since others search by them.',
  },
  {
    puppet: 'marionette',
    faults: [onPartner],
    fair: 'A slip of the brush. The rest of the skin is good.',
  },
  {
    puppet: 'marionette',
    faults: [neckRolled],
    fair: 'A small roll is a warning. Axes weigh most.',
  },
  {
    puppet: 'marionette',
    faults: [programNames],
    fair: 'Nothing was named: the highest band, but of warnings.',
  },
  {
    puppet: 'marionette',
    faults: [programNames, turnedHolder, onPartner],
    fair: 'Three habits to lose, each in a family of its own.',
  },
  {
    puppet: 'marionette',
    faults: [sixRolled, programNames, turnedHolder, onPartner],
    fair: 'Careless all through, but it can be posed: above every unsound rig.',
  },
  {
    puppet: 'marionette',
    faults: [mirroredToe],
    fair: 'One error: a lead sends the rig back. A toe is soon mended.',
  },
  {
    puppet: 'marionette',
    faults: [thighsOnCarrier],
    fair: 'The legs do not follow the hips until two joints are hung there.',
  },
  {
    puppet: 'marionette',
    faults: [shinFlipped],
    fair: 'The knee bends backwards, so the rig is sent back. It is well over a wreck.',
  },
  {
    puppet: 'marionette',
    faults: [shinsFlipped],
    fair: 'The same fault on both sides is in the same band.',
  },
  {
    puppet: 'marionette',
    faults: [shinFlipped, programNames],
    fair: 'The same shin, and not one name: less than for the shin alone.',
  },
  {
    puppet: 'marionette',
    faults: [sixFlipped],
    fair: 'No limb bends as it should: the highest band of the family that weighs most.',
  },
  {
    puppet: 'marionette',
    faults: [shinFlipped, thighsOnCarrier, unpainted],
    fair: 'Three families, each with an error.',
  },
  {
    puppet: 'marionette',
    faults: [sixFlipped, thighsOnCarrier, unpainted, programNames],
    fair: 'The same, with more joints and one family more.',
  },
  {
    puppet: 'marionette',
    faults: [
      ...[kneesInAir, sixFlipped, thighsOnCarrier, unpainted],
      ...[scaledThighs, programNames, inWave],
    ],
    fair: 'A wreck. What is left is for what nobody spoiled.',
  },
];

// Bending gives notes alone, which cost nothing; it takes longer than all the rest.
const settings = defaultSettings(rules);
const rubric = rubricOf(null, rules);

/**
 * What is wrong with a rig in words, its report and what it gets by the defaults. Throws where one of
 * its faults is not found: the table would tell what is not true.
 */
export async function gradeRig({ puppet: name, faults }: GradedRig): Promise<{
  readonly wrong: string;
  readonly report: AssetReport;
  readonly grade: Grade;
}> {
  const puppet = raisePuppet(name);
  for (const { apply } of faults) apply(puppet);
  const bytes = mainFile(buildPuppet(puppet));
  const report = await checkAssetBytes(bytes, { settings, name: `${name}.glb` });
  for (const { tells, rule } of faults)
    if (!report.findings.some((finding) => finding.rule === rule))
      throw new Error(`${rule} did not find that ${tells}`);
  const { grade } = markSubmission(name, [report], null, rubric, settings);
  if (grade === null) throw new Error(`${name} was not graded`);
  return { wrong: faults.map(({ tells }) => tells).join('; ') || 'nothing', report, grade };
}

/** Twenty made-up rigs, what each gets and why that is fair. */
export async function gradedTable(): Promise<string> {
  const rows: string[][] = [];
  for (const rig of GRADED_RIGS) {
    const { wrong, report, grade } = await gradeRig(rig);
    const lost = grade.families.filter((family) => family.lost > 0);
    const costs = lost.map((family) => `\`${family.family}\` ${showLost(family.lost)}`).join(', ');
    const points = showTenths(grade.scaled ?? 0);
    const [first = '', rest] = [wrong.charAt(0).toUpperCase(), wrong.slice(1)];
    rows.push([`${first}${rest}`, report.verdict, costs || 'nothing', points, rig.fair]);
  }
  return table(['what is wrong', 'verdict', 'points lost', 'gets', 'why that is fair'], rows);
}
