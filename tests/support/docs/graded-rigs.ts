import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { CastName } from '../../../fixtures/kit/fault.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { rules } from '../../../rules/index.js';
import { checkAssetBytes } from '../../../src/check/check-asset.js';
import { defaultSettings } from '../../../src/check/settings.js';
import type { Cap, Grade } from '../../../src/grade/grade-assets.js';
import { gradeOf } from '../../../src/grade/grade-of.js';
import { rubricOf } from '../../../src/grade/rubric.js';
import { markSubmission } from '../../../src/grade/submission.js';
import { showLost, showTenths, showWorth } from '../../../src/grade/tenths.js';
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

const converted = known('quarter-turn-holder', 'an export left a quarter turn above the root');
const kneesUnderSkin = known('knees-under-the-skin', 'both knees lie just under the skin');
const turnedHolder = known('turned-holder', 'the node above the root is left turned');
const onPartner = known('thigh-on-its-partner', 'three vertices of a thigh hang on the other one');
const mirroredToe = known('mirrored-toe', 'one toe has a scale of -1');
const thighsOnCarrier = known('thighs-on-the-carrier', 'both thighs hang on the ground root');
const thighsOnNothing = known(
  'legs-beside-root',
  'both thighs hang on nothing, beside the ground root',
);
const kneesInAir = known('knees-in-the-air', 'both knees stand before the legs');
const littleShort = known('weights-a-little-short', 'the weights of three vertices sum to 0.995');
const farShort = known('weights-far-short', 'the weights of three vertices sum to 0.92');
const creased = known('creased-knee', 'the weights behind the left knee run up into the thigh');
const tailRoot = known('rooted-in-the-tail', 'the tip of the tail is the root');

/** The best first, as a teacher would order them. */
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
  { puppet: 'marionette', faults: [neckRolled], fair: 'A small roll is a warning.' },
  {
    puppet: 'mule',
    faults: [littleShort],
    fair: 'A warning at one place: half of its family. A minute mends it.',
  },
  {
    puppet: 'marionette',
    faults: [onPartner],
    fair: 'A slip of the brush. The rest of the skin is good.',
  },
  {
    puppet: 'mule',
    faults: [farShort],
    fair: 'Some viewers pull these vertices to the origin, so the rig is sent back. A minute mends it: for points it counts as a warning, and the cap takes the rest.',
  },
  {
    puppet: 'marionette',
    faults: [mirroredToe],
    fair: 'One family with an error. A toe is soon mended, so it gets the most that an unsound rig can get.',
  },
  {
    puppet: 'marionette',
    faults: [kneesInAir],
    fair: 'Sound: it can be posed. But both knees collapse when they bend, and are to be placed and bound again.',
  },
  {
    puppet: 'marionette',
    faults: [programNames],
    fair: 'Nothing was named: a family that was missed. Nothing is to be built again.',
  },
  {
    puppet: 'marionette',
    faults: [shinFlipped],
    fair: 'The knee bends backwards: the axes were missed. One joint is to be turned.',
  },
  {
    puppet: 'marionette',
    faults: [sixFlipped],
    fair: 'No limb bends as it should. It is the same lesson that was missed, so it costs the same.',
  },
  {
    puppet: 'marionette',
    faults: [thighsOnCarrier],
    fair: 'The legs do not follow the hips. The tree has most points, since all that hangs on it moves wrongly.',
  },
  {
    puppet: 'marionette',
    faults: [creased, neckRolled, programNames],
    fair: 'Two habits to lose. And the knee loses half of its volume when it bends: its skin is to be painted again.',
  },
  {
    puppet: 'marionette',
    faults: [programNames, turnedHolder, onPartner],
    fair: 'Three habits to lose, each in a family of its own.',
  },
  {
    puppet: 'marionette',
    faults: [shinFlipped, thighsOnCarrier],
    fair: 'Two families with an error, one of them the tree.',
  },
  {
    puppet: 'marionette',
    faults: [shinFlipped, thighsOnCarrier, unpainted],
    fair: 'Three families with an error: what was missed adds up.',
  },
  {
    puppet: 'mule',
    faults: [tailRoot],
    fair: 'A warning in the report, since the rig can be posed. But tail and back are to be laid anew, with all that hangs on them: at most half of all points.',
  },
  {
    puppet: 'marionette',
    faults: [sixRolled, programNames, turnedHolder, onPartner, thighsOnCarrier],
    fair: 'Careless all through, and the legs do not follow the hips: three families missed, two half learned.',
  },
  {
    puppet: 'marionette',
    faults: [kneesInAir, sixFlipped, thighsOnNothing, unpainted, programNames, turnedHolder],
    fair: 'A wreck: a body in pieces, whole lessons missed, and not one name. It is to be built again.',
  },
];

// As grading does it: every joint is bent, too.
const settings = { ...defaultSettings(rules), motion: true };
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

/** What a cap is called: `unsound`, or the rule that it goes by. */
function capName(cap: Cap | null): string {
  return cap === null || cap.rule === null
    ? 'unsound'
    : `\`${cap.rule}\` at most ${showWorth(cap.most)}:`;
}

/** Twenty made-up rigs, what each gets and why that is fair. */
export async function gradedTable(): Promise<string> {
  const rows: string[][] = [];
  for (const rig of GRADED_RIGS) {
    const { wrong, report, grade } = await gradeRig(rig);
    const { families, cap, uncapped, scaled } = grade;
    const [before, after] = [uncapped ?? 0, scaled ?? 0];
    const lost = families.filter((family) => family.lost > 0);
    const costs = [
      ...lost.map((family) => `\`${family.family}\` ${showLost(family.lost)}`),
      ...(after < before ? [`${capName(cap)} ${showWorth(before - after)}`] : []),
    ].join(', ');
    const points = showTenths(after);
    const [first = '', rest] = [wrong.charAt(0).toUpperCase(), wrong.slice(1)];
    const step = gradeOf(scaled, rubric)?.name ?? '';
    rows.push([`${first}${rest}`, report.verdict, costs || 'nothing', points, step, rig.fair]);
  }
  return table(
    ['what is wrong', 'verdict', 'points lost', 'gets', 'grade', 'why that is fair'],
    rows,
  );
}
