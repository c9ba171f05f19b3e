import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { rules } from '../../rules/index.js';
import { writeFeedback } from '../../src/grade/feedback.js';
import { rubricOf } from '../../src/grade/rubric.js';
import type { Level } from '../../src/kit/finding.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { hostileName, hostileReport, RUNS } from '../property/hostile-names.js';
import { cellsOf, headingsOf, itemsOf, markupOf } from '../report/markdown-reader.js';
import { glbAsset, sampleFinding, unreadableAsset } from '../report/sample-report.js';
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
  { rule: 'name.missing', looked: 31, short: 31, stands: true, level: 'warning' },
  { rule: 'place.pair', looked: null, short: 0, stands: false },
];

describe('feedback', () => {
  const text = feedback([measuredAsset('submission-01.glb', [RIG])], {
    axis: 20,
    name: 5,
    place: 5,
  });

  it('begins with the points and the verdict', () => {
    // 20 x 3 / 6 x 2 / 31 = 0.645 leaves 19.4; 5 x 2 / 2 x 31 / 31 = 5 leaves 0; 19.4 x 30 / 25.
    const [heading, , first] = text.split('\n');
    expect(heading).toBe('# `submission-01`');
    expect(first).toContain('**23.3 of 30 points. Verdict: unsound.** 1 error, 1 warning, 0 notes');
  });

  it('has the points as a table that adds up', () => {
    expect(cellsOf(text)).toEqual([
      ['family', 'lost', 'points', 'of'],
      ['axis', '0.645', '19.4', '20'],
      ['place', '', 'does not apply', ''],
      ['name', '5', '0.0', '5'],
      ['together', '', '19.4', '25'],
    ]);
  });

  it('explains a family that did not apply, with the arithmetic', () => {
    expect(text).toContain('No rule of `place` applies here (there is none here).');
    expect(text).toContain('Earned 19.4 of 25 possible: 19.4 × 30 / 25 = 23.3 of 30.');
  });

  it('tells errors first, then what costs most, each cost as a sum, and why it matters once', () => {
    expect(headingsOf(text)).toEqual([
      'submission-01',
      'What to fix, in this order',
      '1. A joint rolled away from its segment (axis.up)',
      '2. Joints without a name (name.missing)',
      'What is good',
      'How the points are counted',
    ]);
    expect(text).toContain(
      'Costs 5 points: 5 × 2 / 2 × 31 / 31 = 5 (5 points for `name`, weight 2 of 2 for a warning rule, 31 of 31 joints at fault).',
    );
    expect(text).toContain(
      'Costs 0.645 points: 20 × 3 / 6 × 2 / 31 = 0.645 (20 points for `axis`, weight 3 of 6 for an error rule, 2 of 31 joints at fault).',
    );
    expect(text.split('Why it matters:')).toHaveLength(3);
  });

  it('lists the weights, so that each sum can be done again from the page', () => {
    expect(itemsOf(text).slice(-2)).toEqual([
      'The rules of axis that applied, with their weights: axis.aim 3, axis.up 3, together 6.',
      'The rules of name that applied, with their weights: name.missing 2.',
    ]);
  });

  it('explains the weight where a finding is milder than its rule, and only there', () => {
    const words = 'The weight depends on the level of the rule, not on the level of a finding.';
    expect(text).not.toContain(words);
    const mild = { rule: 'axis.up', looked: 4, short: 1, stands: true, level: 'note' } as const;
    expect(feedback([measuredAsset('a.glb', [[mild]])])).toContain(words);
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
    expect(both).toMatch(/Costs .* joints? at fault in `b\.glb`\)\./);
    expect(both).toContain('each rule counts in the file where the largest share is at fault');
    expect(text).not.toContain('largest share');
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

  it('by rounding is not called faultless', () => {
    const tiny = [{ rule: 'axis.up', looked: 5000, short: 1, stands: true }];
    const text = feedback([measuredAsset('a.glb', [tiny])]);
    expect(text).toContain('**100.0 of 100 points. Verdict: unsound.**');
    expect(text).toContain('They are still faults');
  });
});

describe('the sentence it opens with', () => {
  const seen = (rule: string, level: Level, short: number, looked = 5000): Seen => {
    return { rule, looked, short, stands: short > 0, level };
  };
  const rig = (...all: readonly Seen[]): AssetReport[] => [measuredAsset('a.glb', [all])];

  it('says of an error that it makes the rig unsound, however few points it costs', () => {
    // 25 x 50 / 5000 = 0.25 leaves 24.75, told as 24.8; 24.8 x 100 / 25 = 99.2.
    const text = feedback(rig(seen('axis.up', 'error', 50)));
    expect(text).toContain('**99.2 of 100 points. Verdict: unsound.**');
    expect(text).toContain(
      'This rig is not sound yet: 1 error makes it unsound and must be mended first, even if it costs few points.',
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
    expect(feedback(rig(seen('axis.up', 'note', 50)))).toContain('This rig is well built.');
    const warned = feedback(rig(seen('axis.up', 'warning', 50)));
    expect(warned).toContain('Nothing here makes the rig unsound. 1 warning is left');
    expect(warned).not.toContain('well built');
  });

  it('tells of all points with findings where the findings lie', () => {
    const name = seen('name.missing', 'warning', 5000);
    const unpaid = feedback(rig(seen('axis.aim', 'error', 0), name), { axis: 20 });
    expect(unpaid).toContain(
      'All points: the faults are in families that have no points here (`name`).',
    );
    expect(unpaid).not.toContain('tenth');
    const both = feedback(rig(seen('axis.end', 'warning', 1), name), { axis: 20 });
    expect(both).toContain('no points here (`name`), or cost less than a tenth of a point');
    const tiny = feedback(rig(seen('axis.end', 'warning', 1)), { axis: 20 });
    expect(tiny).toContain('less than a tenth of a point in each family');
    expect(tiny).not.toContain('have no points');
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
