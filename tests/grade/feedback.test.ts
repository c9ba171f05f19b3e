import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { rules } from '../../rules/index.js';
import { writeFeedback } from '../../src/grade/feedback.js';
import { otherWords } from '../../src/grade/other-words.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { markSubmission } from '../../src/grade/submission.js';
import type { Level } from '../../src/kit/finding.js';
import type { AssetReport, JointReport, PlaceReport } from '../../src/report/report-types.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { hostileName, hostileReport, RUNS } from '../property/hostile-names.js';
import { cellsOf, headingsOf, itemsOf, markupOf } from '../report/markdown-reader.js';
import { glbAsset, sampleFinding, sampleRig, unreadableAsset } from '../report/sample-report.js';
import { mark, SETTINGS } from './mark.js';
import { measuredAsset, type Seen } from './measured-asset.js';

function feedback(
  assets: readonly AssetReport[],
  points: Readonly<Record<string, number>> | null = null,
  reason: string | null = null,
): string {
  const marked = mark('submission-01', assets, points, reason);
  return writeFeedback(marked, rubricOf(points, rules), SETTINGS);
}

const RIG: readonly Seen[] = [
  { rule: 'axis.aim', looked: 31, short: 0, stands: false },
  { rule: 'axis.up', looked: 31, short: 2, stands: true },
  { rule: 'name.missing', looked: 31, short: 3, stands: true, level: 'warning' },
  { rule: 'place.pair', looked: null, short: 0, stands: false },
];

describe('feedback', () => {
  const text = feedback([measuredAsset('submission-01.glb', [RIG])], {
    axis: 20,
    name: 5,
    place: 5,
  });

  it('begins with the points and the verdict', () => {
    // An error costs all of 20; 5 x 1/2 leaves 2.5; 2.5 x 30 / 25 = 3.
    const [heading, , first] = text.split('\n');
    expect(heading).toBe('# `submission-01`');
    expect(first).toContain(
      '**3.0 of 30 points, grade D. Verdict: unsound.** 1 error, 1 warning, 0 notes',
    );
  });

  it('has the points as a table that adds up, each loss as a sum', () => {
    expect(cellsOf(text)).toEqual([
      ['family', 'at fault', 'lost', 'points', 'of'],
      ['axis', '2 joints with an error', '20 × 1 = 20', '0.0', '20'],
      ['place', '', '', 'does not apply', ''],
      ['name', '3 joints', '5 × 1/2 = 2.5', '2.5', '5'],
      ['together', '', '', '2.5', '25'],
    ]);
  });

  it('explains a family that did not apply, with the arithmetic', () => {
    expect(text).toContain('No rule of `place` applies here (there is none here).');
    expect(text).toContain('Earned 2.5 of 25 possible: 2.5 × 30 / 25 = 3.0 of 30.');
  });

  it('says what an unsound rig gets at most, only where that changes points', () => {
    const most = 'An unsound rig gets 27 of 30 at most, so ';
    expect(text).not.toContain(most);
    const weights = { rule: 'skin.sum', looked: 31, short: 1, stands: true } as const;
    const names = { rule: 'name.missing', looked: 31, short: 0, stands: false } as const;
    const soon = feedback([measuredAsset('a.glb', [[weights, names]])], { skin: 4, name: 26 });
    expect(soon).toContain(`| 28.0 | 30 |\n\n${most}28.0 become 27.0.`);
  });

  it('says by which rule a rig gets less than it earned, and that a rule can do so', () => {
    const tail = { rule: 'chain.direction', looked: 9, short: 1, stands: true } as const;
    const names = { rule: 'name.missing', looked: 31, short: 0, stands: false } as const;
    const rig = feedback([measuredAsset('a.glb', [[tail, names]])], { chain: 10, name: 20 });
    const most = 'A rig with a finding of `chain.direction` gets 15 of 30 at most';
    expect(rig).toContain(`| 20.0 | 30 |\n\n${most}, so 20.0 become 15.0.`);
    expect(rig).toContain('**15.0 of 30 points, grade B.');
    expect(rig.split('counted\n\n')[1]).toContain(`${most}.`);
    expect(text).not.toContain('become 15.0');
  });

  it('says of findings that count as another level what they count as, and what to do for the points', () => {
    const bends = {
      rule: 'motion.collapse',
      looked: 9,
      short: 2,
      stands: true,
      level: 'note',
    } as const;
    const ends = { rule: 'axis.end', looked: 9, short: 4, stands: true, level: 'warning' } as const;
    const asset = { ...measuredAsset('a.glb', [[ends, bends]]), verdict: 'sound' } as const;
    const settings = { ...SETTINGS, motion: true };
    const rubric = rubricOf({ axis: 10, motion: 10 }, rules);
    const marked = markSubmission('a', [asset], null, rubric, settings);
    const sound = writeFeedback(marked, rubric, settings);
    expect(cellsOf(sound)).toContainEqual([
      'motion',
      '2 joints, count as errors',
      '10 × 1 = 10',
      '0.0',
      '10',
    ]);
    expect(headingsOf(sound)[2]).toBe(
      '1. Volume lost near a joint when it bends 60° (motion.collapse)',
    );
    expect(sound).toContain(
      'For this, `motion` loses all of its 10 points: 2 joints at fault, which count as errors.',
    );
    expect(sound).toContain(
      '- **note, counts as an error for points** at joint `body/neck/beak`: ',
    );
    expect(sound).toContain('- **warning** at joint');
    const sums = { rule: 'skin.sum', looked: 9, short: 2, stands: true } as const;
    expect(feedback([measuredAsset('a.glb', [[sums]])])).toContain(
      '- **error, counts as a warning for points** at',
    );
  });

  it('tells errors first, then what costs most, what each counts for, and why it matters once', () => {
    expect(headingsOf(text)).toEqual([
      'submission-01',
      'What to fix, in this order',
      '1. A joint rolled away from its segment (axis.up)',
      '2. Joints without a name (name.missing)',
      'What is good',
      'How the points are counted',
    ]);
    expect(text).toContain(
      'For this, `axis` loses all of its 20 points: 2 joints at fault, each with an error.',
    );
    expect(text).toContain('For this, `name` loses 2.5 of its 5 points: 3 joints at fault.');
    expect(text.split('Why it matters:')).toHaveLength(3);
  });

  it('tells of several rules of a family what they cost together', () => {
    const ends = { rule: 'axis.end', looked: 9, short: 5, stands: true, level: 'warning' } as const;
    const spins = { ...ends, rule: 'axis.curl', short: 2, level: 'note' } as const;
    const { grading } = parseStandard(
      '{ "grading": { "bands": [{ "from": 1, "costs": "1/3" }, { "from": 5, "costs": "2/3" }], "warnings": "1/2", "error": 0 } }',
      'class.json',
      rules,
    );
    const rubric = rubricOf({ axis: 20 }, rules, grading);
    const assets = [measuredAsset('a.glb', [[...RIG, ends, spins]])];
    const both = writeFeedback(
      markSubmission('a', assets, null, rubric, SETTINGS),
      rubric,
      SETTINGS,
    );
    // 20 x (1/2 x 2/3 + 1/2 x 1/3): the rolled joints are two of the five at an end.
    expect(cellsOf(both)[1]?.slice(1, 3)).toEqual([
      '5 joints, 2 with an error',
      '20 × (1/2 × 2/3 + 1/2 × 1/3) = 10',
    ]);
    const loses = '`axis` loses 10 of its 20 points: 5 joints at fault, 2 of them with an error';
    expect(both).toContain(`For this and other faults, ${loses}, 2 of them here.`);
    // By itself an end costs 20 x 1/2 x 2/3, so that it is not for this alone.
    expect(both).toContain(`For this and other faults, ${loses}, 5 of them here.`);
    expect(both).toContain('Costs no points: a note costs nothing.');
  });

  it('says how points are counted, with the numbers of the standard', () => {
    const counted = text.split('## How the points are counted\n\n')[1];
    expect(counted).toMatchInlineSnapshot(`
      "A family loses a share of its points by its joints at fault: 1/2 for 1 to 4, all for 5 or more. Only joints with an error or a warning count. Notes cost nothing. One error in a family costs all of its points at once. An unsound rig gets 27 of 30 at most. A rig with a finding of \`chain.direction\` gets 15 of 30 at most. A joint counts once in a family. A mesh, skin, rig or file at fault counts as a joint; a rig of which joints are listed is not one more. What the report tells as the result of another finding costs nothing more. Each line is rounded to one decimal.
      "
    `);
    const { grading } = parseStandard(
      '{ "grading": { "bands": [{ "from": 1, "costs": 0.2 }], "warnings": 1, "notes": "1/4", "error": 0, "unsound": 1 } }',
      'class.json',
      rules,
    );
    const rubric = rubricOf(null, rules, grading);
    const assets = [measuredAsset('a.glb', [RIG])];
    const marked = markSubmission('a', assets, null, rubric, SETTINGS);
    expect(writeFeedback(marked, rubric, SETTINGS).split('counted\n\n')[1]).toMatchInlineSnapshot(`
      "A family loses a share of its points by its joints at fault: 0.2 for 1 or more. 1/4 of this goes by all joints at fault, 3/4 by joints with an error or a warning. A rig with a finding of \`chain.direction\` gets 50 of 100 at most. Whatever their level, findings of \`motion.collapse\` (if they measure 45 % or more) and \`chain.direction\` count as errors, those of \`skin.sum\` and \`skin.repeat\` as warnings. Errors of \`root.single\` and \`skin.shift\` count in \`chain\`, too. A joint counts once in a family. A mesh, skin, rig or file at fault counts as a joint; a rig of which joints are listed is not one more. What the report tells as the result of another finding costs nothing more. Each line is rounded to one decimal.
      "
    `);
  });

  it('says where a finding counts in a second family, too, and what that loses', () => {
    const tops = { rule: 'root.single', looked: 9, short: 2, stands: true } as const;
    const held = { rule: 'chain.parent', looked: 9, short: 0, stands: false } as const;
    const torn = feedback([measuredAsset('a.glb', [[tops, held]])]);
    expect(torn).toContain(
      'For this, `root` loses all of its 10 points: 2 joints at fault, each with an error. It counts in `chain`, too, which loses all of its 20 points.',
    );
    const warned = feedback([measuredAsset('a.glb', [[{ ...tops, level: 'warning' }, held]])]);
    expect(warned).not.toContain('It counts in');
  });

  it('says of a place with a graver finding of another rule that it is not for this alone', () => {
    const sums = { rule: 'skin.sum', looked: 9, short: 1, stands: true } as const;
    const none = { ...sums, rule: 'skin.unweighted' } as const;
    const rig = feedback([measuredAsset('a.glb', [[sums, none]])]);
    const loses = '`skin` loses all of its 15 points: 1 joint at fault, with an error';
    expect(rig).toContain(`For this and other faults, ${loses}, 1 of them here.`);
    expect(rig).toContain(`For this, ${loses}.`);
  });

  it('praises what holds, with numbers', () => {
    expect(itemsOf(text)).toContain('31 of 31 joints aim at the next one');
  });

  it('praises no rule whose fault another one tells', () => {
    const mirror = { rule: 'axis.mirror', looked: 7, short: 0, stands: false };
    const told = (elsewhere: number): string[] =>
      itemsOf(feedback([measuredAsset('a.glb', [[...RIG, { ...mirror, elsewhere }]])]));
    expect(told(0)).toContain('7 of 7 joints mirror their axes');
    expect(told(1).join(' ')).not.toContain('mirror their axes');
  });

  it('lists several files, and says in which of them a rule counts', () => {
    const held = RIG.map((seen) => ({ ...seen, short: 0, stands: false }));
    const both = feedback([measuredAsset('a.glb', [held]), measuredAsset('b.glb', [RIG])]);
    expect(both).toContain('2 files: `a.glb` (sound), `b.glb` (unsound).');
    expect(both).toContain('| 2 joints with an error in `b.glb` |');
    expect(both).toContain('each family counts in the file where it loses most');
    expect(text).not.toContain('With several files');
    const one = { ...measuredAsset('c.glb', [RIG.map((seen) => ({ ...seen, short: 1 }))]) };
    const ends = { rule: 'axis.end', looked: 9, short: 1, stands: true, level: 'warning' } as const;
    const other = measuredAsset('d.glb', [[ends]]);
    expect(feedback([one, other])).toContain(
      'Costs nothing more: `axis` counts in `c.glb`, where it loses most.',
    );
  });

  it('says of a finding where, what was measured, the limit and what to do', () => {
    expect(text).toContain(
      '**error** at joint `body/neck/beak`: `beak` is rolled 92.4° about its aim axis against its segment (limit 30°).',
    );
    expect(text).toContain('Turn its frame so that its up axis follows that of');
  });

  it('never shouts', () => {
    expect(text).not.toContain('!');
  });

  it('is the same every time', () => {
    expect(
      feedback([measuredAsset('submission-01.glb', [RIG])], { axis: 20, name: 5, place: 5 }),
    ).toBe(text);
  });
});

describe('what costs nothing', () => {
  it('is told after what does, but errors come first', () => {
    const mild = { rule: 'axis.end', looked: 3, short: 1, stands: true, level: 'warning' } as const;
    const text = feedback([measuredAsset('a.glb', [[...RIG, mild]])], { name: 5 });
    expect(headingsOf(text).slice(2, 5)).toEqual([
      '1. A joint rolled away from its segment (axis.up)',
      expect.stringMatching(/^2\. .*\(name\.missing\)$/),
      expect.stringMatching(/^3\. .*\(axis\.end\)$/),
    ]);
    expect(text).toContain('Costs no points, because the family `axis` has no points here.');
  });

  it('and nothing at all is met with praise alone', () => {
    const held = RIG.map((seen) => ({ ...seen, short: 0, stands: false }));
    const text = feedback([measuredAsset('a.glb', [held])]);
    expect(text).toContain('Everything that was measured is good.');
    expect(text).not.toContain('What to fix');
  });

  it('by a band of the standard is not called faultless', () => {
    const few = [
      { rule: 'axis.up', looked: 50, short: 1, stands: true, level: 'warning' },
    ] as const;
    const { grading } = parseStandard(
      '{ "grading": { "bands": [{ "from": 3, "costs": 1 }], "error": 0 } }',
      'class.json',
      rules,
    );
    const rubric = rubricOf(null, rules, grading);
    const assets = [measuredAsset('a.glb', [few])];
    const marked = markSubmission('a', assets, null, rubric, SETTINGS);
    const text = writeFeedback(marked, rubric, SETTINGS);
    expect(text).toContain('**100.0 of 100 points, grade A. Verdict: sound.**');
    expect(text).toContain('All points: the faults are too few to cost points in their family.');
    expect(text).toContain('Costs no points: `axis` loses nothing for so few at fault.');
  });
});

describe('the sentence it opens with', () => {
  const seen = (rule: string, level: Level, short: number, looked = 5000): Seen => {
    return { rule, looked, short, stands: short > 0, level };
  };
  const rig = (...all: readonly Seen[]): AssetReport[] => [measuredAsset('a.glb', [all])];

  it('says of an error that it makes the rig unsound', () => {
    // Axis alone applies, and an error costs all of it.
    const text = feedback(rig(seen('axis.up', 'error', 1)));
    expect(text).toContain('**0.0 of 100 points, grade D. Verdict: unsound.**');
    expect(text).toContain(
      'This rig is not sound yet: 1 error makes it unsound and must be mended first.',
    );
    expect(text).not.toContain('well built');
  });

  it('counts all errors, also where nothing makes a rig unsound, or warnings do', () => {
    const assets = rig(
      seen('axis.up', 'error', 5),
      seen('axis.aim', 'error', 5),
      seen('axis.end', 'warning', 5),
    );
    const tell = (failing: 'never' | 'warning'): string =>
      writeFeedback(mark('a', assets), rubricOf(null, rules), { ...SETTINGS, failing });
    expect(tell('never')).toContain('This rig has 2 errors, which must be mended first');
    expect(tell('warning')).toContain('2 errors and 1 warning make it unsound');
  });

  it('calls a rig well built where notes alone are left', () => {
    expect(feedback(rig(seen('axis.up', 'note', 50)))).toContain(
      'This rig is well built. 1 note is left, which costs no points. Look at it once.',
    );
    const others = ['axis.aim', 'axis.uniform'].map((rule) => seen(rule, 'warning', 0));
    const all = ['root', 'skin', 'name', 'rest', 'chain', 'scale', 'place'].map((family) =>
      seen(rules.find((rule) => rule.family === family)?.id ?? '', 'warning', 0),
    );
    const warned = feedback(rig(seen('axis.up', 'warning', 1), ...others, ...all));
    expect(warned).toContain('**94.7 of 100 points, grade B. Verdict: sound.**');
    expect(warned).toContain('Nothing here makes the rig unsound. 1 warning is left');
    expect(warned).not.toContain('well built');
  });

  it('tells of all points with findings where the findings lie', () => {
    const name = seen('name.missing', 'warning', 50);
    const unpaid = feedback(rig(seen('axis.aim', 'error', 0), name), { axis: 20 });
    expect(unpaid).toContain(
      'All points: the faults are in families that have no points here (`name`). They are still faults',
    );
    expect(unpaid).not.toContain('too few');
  });
});

describe('a submission that was not graded', () => {
  it('is told why, and has no points', () => {
    const text = feedback([unreadableAsset('submission-01.glb', 'the file is empty', 'byte 0')]);
    expect(text).toContain('**Not graded yet. A person will look at this submission.**');
    expect(itemsOf(text)[0]).toContain('cannot be read: the file is empty (at byte 0');
    expect(text).not.toMatch(/\d points/);
  });

  it('with a part that could be read is told what was found there', () => {
    const read = glbAsset('b/heron.glb', [sampleFinding()]);
    const text = feedback([unreadableAsset('b/mule.glb', 'the file is empty', null), read]);
    expect(text).toContain('Not graded yet');
    expect(text).toContain('in `b/heron.glb`: `beak` is rolled');
    expect(text).not.toContain('Costs');
  });

  it.each([
    ['no rig', [{ ...glbAsset('a.glb'), rigs: [] }], 'has no rig'],
    ['no asset', [], 'the folder is empty'],
    ['nothing that points are given for', [glbAsset('a.glb')], 'no rule with points applies'],
  ])('has a reason for it: %s', (_, assets, words) => {
    const points = { scale: 10 };
    const marked = mark(
      'submission-01',
      assets,
      points,
      assets.length === 0 ? 'the folder is empty' : null,
    );
    expect(marked.grade).toBeNull();
    expect(marked.look.join()).toContain(words);
  });
});

describe('a rig that is hardly bound', () => {
  const asset = measuredAsset('a.glb', [RIG]);
  const rigWith = (joints: number, moving: number, vertices = 3): AssetReport => {
    const [rig = sampleRig()] = asset.rigs;
    const [joint] = rig.joints;
    if (joint === undefined) throw new Error('the sample has joints');
    const all = Array.from({ length: joints }, (_, at) => ({ ...joint, movesSkin: at < moving }));
    return { ...asset, rigs: [{ ...rig, joints: all, vertices }] };
  };
  const looked = (one: AssetReport): readonly string[] => {
    const { grade, look } = mark('submission-01', [one]);
    expect(grade === null).toBe(look.length > 0);
    return look;
  };

  it('is not graded, since nothing of it can be at fault, and a person looks', () => {
    expect(looked(rigWith(18, 1))).toEqual([
      'a.glb has a rig "heron" that is not bound: only 1 of 18 joints moves skin',
    ]);
    expect(looked(rigWith(18, 5))).toEqual([
      'a.glb has a rig "heron" that is not bound: only 5 of 18 joints move skin',
    ]);
    expect(looked(rigWith(18, 17, 0))).toEqual([
      'a.glb has a rig "heron" that is not bound: no vertex hangs on it',
    ]);
  });

  it('nor is one of fewer joints than a limb has, unless there is another rig', () => {
    expect(looked(rigWith(2, 2))).toEqual([
      'a.glb has a rig "heron" of 2 joints: too few to judge',
    ]);
    expect(looked(rigWith(1, 1))).toEqual([
      'a.glb has a rig "heron" of one joint: too few to judge',
    ]);
    const both = mark('submission-01', [rigWith(1, 1), { ...rigWith(3, 3), path: 'b.glb' }]);
    expect([both.look, both.grade === null]).toEqual([[], false]);
  });

  it('is one below a third of its joints, and no lever of three', () => {
    expect(looked(rigWith(18, 6))).toEqual([]);
    expect(looked(rigWith(3, 0))).toEqual([]);
    expect(looked(rigWith(4, 1))).toHaveLength(1);
  });
});

it('a prop without a rig beside a rig is graded, and pointed out', () => {
  const prop = { ...glbAsset('a/lantern.glb'), rigs: [] };
  const marked = mark('submission-01', [prop, measuredAsset('a/heron.glb', [RIG])]);
  expect(marked.grade).not.toBeNull();
  expect(marked.look).toEqual(['a/lantern.glb has no rig: no mesh in it has a skin']);
});

it('a rule with thousands of findings does not fill the page', () => {
  const many = Array.from({ length: 5000 }, () => sampleFinding());
  const text = feedback([glbAsset('a.glb', many)]);
  expect(text.length).toBeLessThan(20_000);
  expect(text).toContain('- and 4980 more of the same kind');
});

test('no name from a file becomes markup, whatever it holds', () => {
  const points = { axis: 25, skin: 10 };
  fc.assert(
    fc.property(hostileReport, hostileName, ({ assets }, name) => {
      const text = writeFeedback(mark(name, assets, points), rubricOf(points, rules), SETTINGS);
      expect(markupOf(text)).toEqual([]);
      const headings = headingsOf(text).slice(1);
      for (const heading of headings) expect(heading).toMatch(/^(What |How |\d\. )/);
      expect(text).not.toContain('undefined');
    }),
    RUNS,
  );
});

describe('many joints at fault', () => {
  const joint = (name: string, parent: number): JointReport => ({
    name,
    path: name,
    parent,
    node: 0,
    place: [0, 0, 0],
    movesSkin: true,
    skinShare: 0,
  });
  // A root with two arms of three joints.
  const joints = [
    joint('hips', -1),
    ...['L', 'R'].flatMap((side, arm) =>
      ['arm', 'hand', 'tip'].map((name, at) =>
        joint(`${name}_${side}`, at === 0 ? 0 : 3 * arm + at),
      ),
    ),
  ];
  const places = (listed: readonly number[]): PlaceReport[] =>
    listed.map((at) => ({
      kind: 'joint',
      name: joints[at]?.name ?? '',
      path: joints[at]?.name ?? '',
      joint: at,
      node: 0,
      pointer: '',
    }));
  const said = (listed: readonly number[]): string => {
    const [own, ...others] = places(listed);
    return own === undefined ? '' : otherWords(others, own, joints);
  };

  it('are told by limbs, where all of a limb is', () => {
    expect(said([1, 2, 3, 4, 5, 6])).toBe('These are all joints from "arm_L", "arm_R" outward.');
    expect(said([1, 2, 3, 4, 5])).toBe(
      'These are all joints from "arm_L" outward, and "arm_R", "hand_R".',
    );
    expect(said([1, 2, 4, 5])).toBe('Also at "hand_L", "arm_R", "hand_R".');
  });
});
