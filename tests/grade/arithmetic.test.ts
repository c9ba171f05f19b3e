import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import { countedLevel } from '../../src/grade/faulty-places.js';
import { type Grade, gradeAssets } from '../../src/grade/grade-assets.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { scaleTenths, showLost, toTenths } from '../../src/grade/tenths.js';
import type { Level } from '../../src/kit/finding.js';
import type { AssetReport } from '../../src/report/report-types.js';
import type { WrittenGrading } from '../../src/standard/grading.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { sampleFinding } from '../report/sample-report.js';
import { measuredAsset, type Seen } from './measured-asset.js';

// As grading does it: every joint is bent, too.
const settings = { ...defaultSettings(rules), motion: true };

function grade(
  assets: readonly AssetReport[],
  points: Record<string, number>,
  change: Partial<Settings> = {},
  written: WrittenGrading = {},
): Grade {
  const { grading } = parseStandard(JSON.stringify({ grading: written }), 'class.json', rules);
  return gradeAssets(assets, rubricOf(points, rules, grading), { ...settings, ...change });
}

const held = (rule: string, looked = 10): Seen => ({ rule, looked, short: 0, stands: false });
const short = (rule: string, count: number, looked: number, level: Level = 'error'): Seen => {
  return { rule, looked, short: count, stands: true, level };
};
const none = (rule: string): Seen => ({ rule, looked: null, short: 0, stands: false });

/** Points that axis loses of 60, of a rig whose joints are at fault so. */
function lostOf60(seen: readonly Seen[], written: WrittenGrading = {}): number | undefined {
  const rig = [held('axis.uniform'), ...seen];
  return grade([measuredAsset('a.glb', [rig])], { axis: 60 }, {}, written).families[0]?.lost;
}

describe('the points of a rig of three joints, by hand', () => {
  // axis: 1 joint is crooked (error), and so is 1 end joint (warning), the same one: 1 at fault.
  //   30 x 1/3 = 10; 20 left.
  // name: 1 joint without a name (warning). 10 x 1/2 x 1/3 = 1.667; 8.333 left, told as 8.3.
  // place: nothing applied, so 40 of 60 are possible. One family has an error: 40 x 15 % = 6.
  // 20 + 8.3 - 6 = 22.3; 22.3 x 60 / 40 = 33.45, told as 33.5. As an unsound rig it could get 48.
  const rig = [
    short('axis.aim', 1, 2),
    held('axis.up', 3),
    short('axis.end', 1, 1, 'warning'),
    none('axis.mirror'),
    short('name.missing', 1, 3, 'warning'),
    held('name.side', 3),
    none('place.inside'),
    none('place.pair'),
  ];
  const found = grade([measuredAsset('heron.glb', [rig])], { axis: 30, place: 20, name: 10 });

  it('are what a student finds with pen and paper', () => {
    expect(found.families.map(({ family, earned }) => [family, earned])).toEqual([
      ['axis', 200],
      ['place', null],
      ['name', 83],
    ]);
    expect([found.earned, found.possible, found.uncapped, found.scaled]).toEqual([
      223, 400, 335, 335,
    ]);
    expect(found.errors).toEqual({ families: ['axis'], each: 6, lost: 60 });
  });

  it('name what each family lost, and the shares that it is the sum of', () => {
    expect(found.families.map(({ cost, lost }) => [cost.terms, lost])).toEqual([
      [['1/3'], 10],
      [[], 0],
      [['1/2 × 1/3'], expect.closeTo(5 / 3, 12)],
    ]);
  });

  it('say why a family was left out', () => {
    expect(found.families[1]?.because).toEqual(['there is none here']);
  });
});

describe('joints at fault', () => {
  // Bands of a third and two thirds; a warning counts half. Of 60 points, besides what an error costs:
  it.each([
    ['no joint', [], 0],
    ['one warning', [short('axis.up', 1, 10, 'warning')], 10],
    ['four warnings', [short('axis.up', 4, 10, 'warning')], 10],
    ['five warnings', [short('axis.up', 5, 10, 'warning')], 20],
    ['one error', [short('axis.up', 1, 10)], 20],
    ['four errors', [short('axis.up', 4, 10)], 20],
    ['five errors', [short('axis.up', 5, 10)], 40],
    ['one error among five', [short('axis.aim', 1, 10), short('axis.up', 5, 10, 'warning')], 30],
    ['nine notes', [short('axis.up', 9, 10, 'note')], 0],
    ['nine notes and an error', [short('axis.aim', 1, 10), short('axis.up', 9, 10, 'note')], 20],
  ])('%s', (_, seen, lost) => {
    expect(lostOf60(seen)).toBeCloseTo(lost, 9);
  });

  it('count once in a family, however many rules find them at fault', () => {
    expect(lostOf60([short('axis.aim', 3, 10), short('axis.up', 4, 10)])).toBeCloseTo(20, 9);
  });

  it('cost notes where the standard says so, and what else it says', () => {
    const written = { notes: '1/4', warnings: 0.5 };
    expect(lostOf60([short('axis.up', 9, 10, 'note')], written)).toBeCloseTo(10, 9);
    // 60 x (1/4 of the band of 6 + 1/4 of that of 4 + 1/2 of that of 1)
    const mixed = [
      short('axis.end', 6, 10, 'note'),
      short('axis.up', 4, 10, 'warning'),
      short('axis.aim', 1, 10),
    ];
    expect(lostOf60(mixed, written)).toBeCloseTo(60 * (1 / 6 + 1 / 12 + 1 / 6), 9);
    const one = { bands: [{ from: 3, costs: 0.25 }], warnings: 1 };
    expect(lostOf60([short('axis.up', 2, 10)], one)).toBe(0);
    expect(lostOf60([short('axis.up', 3, 10, 'warning')], one)).toBe(15);
  });

  it('are no more than a rule found short, where it lists both joints of a pair', () => {
    const pairs = measuredAsset('a.glb', [[short('place.pair', 4, 10, 'warning')]]);
    const [finding = sampleFinding()] = pairs.findings;
    const both = finding.places.flatMap((place) => [
      place,
      { ...place, pointer: `${place.pointer}1` },
    ]);
    const asset = { ...pairs, findings: [{ ...finding, places: both }] };
    expect(both).toHaveLength(8);
    expect(grade([asset], { place: 60 }).families[0]?.faulty).toHaveLength(4);
  });
});

describe('a family', () => {
  it('is summed over the rigs of a file, and counts in the file that loses most', () => {
    const assets = [
      measuredAsset('a.glb', [[short('axis.aim', 3, 4)], [held('axis.aim', 4)]]),
      measuredAsset('b.glb', [[short('axis.aim', 3, 12)], [short('axis.aim', 2, 4)]]),
    ];
    // a.glb: 3 joints; b.glb: 5. 12 x 2/3 = 8
    const found = grade(assets, { axis: 12 });
    expect(found.families[0]).toMatchObject({ file: 'b.glb', lost: 8 });
  });

  it('counts in the file with an error, where that costs more than a higher band of its own', () => {
    const many = measuredAsset('a.glb', [[short('axis.up', 9, 10, 'warning')]]);
    const one = measuredAsset('b.glb', [[short('axis.aim', 1, 10)]]);
    // a.glb: 20 x 2/3 = 13.333. b.glb: 20 x 1/3 = 6.667, and 15 % of 100.
    const points = { axis: 20, name: 80 };
    const found = grade([many, one], points, {}, { warnings: 1 });
    expect(found.families[0]).toMatchObject({ file: 'b.glb', earned: 133 });
    const free = grade([many, one], points, {}, { warnings: 1, error: 0 });
    expect(free.families[0]).toMatchObject({ file: 'a.glb', earned: 67 });
  });

  it('loses the same with sound files beside the faulty one, or the same file twice', () => {
    const faulty = measuredAsset('a.glb', [[short('axis.aim', 3, 4), held('axis.up', 4)]]);
    const sound = measuredAsset('b.glb', [[held('axis.aim', 40), held('axis.up', 40)]]);
    const grades = [[faulty], [faulty, sound], [faulty, { ...faulty, path: 'c.glb' }]];
    expect(grades.map((assets) => grade(assets, { axis: 10 }).earned)).toEqual([52, 52, 52]);
  });

  it('loses nothing where all findings stepped back for another fault', () => {
    const stepped = { rule: 'axis.up', looked: 10, short: 4, stands: false };
    expect(grade([measuredAsset('a.glb', [[stepped]])], { axis: 10 }).earned).toBe(100);
  });

  it('is left out where a standard switches its rules off', () => {
    const asset = measuredAsset('a.glb', [[held('axis.up')]]);
    const off = new Map(rules.map(({ id }) => [id, 'none' as const]));
    expect(grade([asset], { axis: 10 }, { levels: off }).scaled).toBeNull();
  });

  it('of rules about assets looks at each file by itself', () => {
    const assets = [measuredAsset('a.glb', [[]]), measuredAsset('b.glb', [[]])];
    const bare = short('file.no-skin', 1, 1);
    const [finding] = measuredAsset('b.glb', [[bare]]).findings;
    const without = { ...assets[1], rigs: [], findings: [{ ...finding, rig: null }] };
    // The parts of the two reports together are a report again.
    const both = [assets[0], without] as AssetReport[];
    // 10 x 1/3 = 3.333 leaves 6.7; the error costs 1.5.
    expect(grade(both, { file: 10 }).earned).toBe(52);
    expect(grade([assets[0]] as AssetReport[], { file: 10 }).earned).toBe(100);
  });
});

const rig = (...seen: Seen[]): AssetReport[] => [measuredAsset('a.glb', [seen])];

describe('families with an error', () => {
  const points = { axis: 20, skin: 20, name: 60 };
  const all = (...seen: Seen[]) =>
    rig(held('axis.up'), held('skin.side'), held('name.side'), ...seen);

  it('cost a share of all points each, once, however many joints have one', () => {
    const lost = (...seen: Seen[]) => grade(all(...seen), points).errors;
    expect(lost(short('axis.aim', 3, 9, 'warning'))).toEqual({ families: [], each: 15, lost: 0 });
    expect(lost(short('axis.aim', 9, 9))).toMatchObject({ families: ['axis'], lost: 150 });
    expect(lost(short('axis.aim', 1, 9), short('axis.end', 1, 9)).lost).toBe(150);
    expect(lost(short('axis.aim', 1, 9), short('skin.index', 1, 9)).lost).toBe(300);
  });

  it('cost what the standard says, and nothing where they have no points or do not apply', () => {
    const seen = [short('axis.aim', 1, 9), short('skin.index', 1, 9)];
    expect(grade(all(...seen), points, {}, { error: '1/8' }).errors.lost).toBe(250);
    expect(grade(all(...seen), points, {}, { error: 0 }).errors.lost).toBe(0);
    expect(grade(all(...seen), { skin: 50, name: 50 }).errors.lost).toBe(150);
    // 40 of 100 points do not apply: 15 % of 60, which is 15 of 100 once it is scaled.
    const some = grade(rig(held('name.side'), short('name.missing', 1, 9)), points);
    expect([some.errors.lost, some.earned, some.possible]).toEqual([90, 310, 600]);
    expect(some.scaled).toBe(517);
  });

  it('leave no less than nothing', () => {
    const seen = [short('axis.aim', 9, 9), short('skin.index', 9, 9), short('name.missing', 9, 9)];
    const found = grade(all(...seen), points, {}, { error: '40 %' });
    expect([found.errors.lost, found.earned, found.scaled]).toEqual([1200, 0, 0]);
  });
});

describe('a level that findings count as', () => {
  const counted = (seen: Seen, written: WrittenGrading = {}, levels = {}) => {
    const text = JSON.stringify({ grading: written, levels });
    const { grading } = parseStandard(text, 'class.json', rules);
    const family = seen.rule.split('.')[0] ?? '';
    const found = gradeAssets(rig(seen), rubricOf({ [family]: 30 }, rules, grading), settings);
    return [found.families[0]?.lost, found.errors.lost];
  };

  it('is by default that of what it takes to mend them', () => {
    expect(counted(short('motion.collapse', 1, 9, 'note'))).toEqual([10, 45]);
    expect(counted(short('chain.direction', 1, 9, 'warning'))).toEqual([10, 45]);
    expect(counted(short('skin.sum', 1, 9))).toEqual([5, 0]);
    expect(counted(short('skin.index', 1, 9))).toEqual([10, 45]);
  });

  it('is what the standard says, rule by rule', () => {
    const counts = { 'motion.collapse': 'note', 'skin.side': 'error' } as const;
    expect(counted(short('motion.collapse', 1, 9, 'note'), { counts })).toEqual([0, 0]);
    expect(counted(short('skin.side', 1, 9, 'warning'), { counts })).toEqual([10, 45]);
    expect(counted(short('skin.sum', 1, 9), { counts })).toEqual([5, 0]);
  });

  it('is no default where the standard gives the rule or its family a level', () => {
    const seen = short('motion.collapse', 1, 9, 'warning');
    expect(counted(seen, {}, { 'motion.collapse': 'warning' })).toEqual([5, 0]);
    expect(counted(seen, {}, { motion: 'warning' })).toEqual([5, 0]);
    const counts = { 'motion.collapse': 'error' } as const;
    expect(counted(seen, { counts }, { motion: 'warning' })).toEqual([10, 45]);
  });

  it('goes before a milder one of another rule at the same joint', () => {
    const asset = measuredAsset('a.glb', [
      [short('chain.direction', 2, 9, 'warning'), short('chain.hinge', 2, 9, 'note')],
    ]);
    expect(grade([asset], { chain: 30 }).families[0]).toMatchObject({ lost: 10 });
  });
});

describe('an unsound rig', () => {
  const shin = rig(short('axis.up', 1, 20), held('name.missing'));
  const shinAndNames = rig(short('axis.up', 1, 20), short('name.missing', 9, 9, 'warning'));

  it('gets no more than its share of all points, and less where it lost more', () => {
    const points = { axis: 10, name: 90 };
    // 10 x 1/3 = 3.333 and 15 lost: 81.7. 90 x 1/3 = 30 more: 51.7.
    const [one, two] = [shin, shinAndNames].map((assets) => grade(assets, points));
    expect([one?.uncapped, one?.scaled]).toEqual([817, 800]);
    expect([two?.uncapped, two?.scaled]).toEqual([517, 517]);
    expect(grade(shin, { name: 100 }).scaled).toBe(800);
  });

  it('gets what the standard says, rounded down', () => {
    const most = (unsound: string) => grade(shin, { name: 100 }, {}, { unsound }).scaled;
    expect(['100 %', '1/3', '57 %', '0 %'].map(most)).toEqual([1000, 333, 570, 0]);
  });

  it('is one as the verdict says: with no findings that fail there is none', () => {
    const [asset] = shin;
    const sound = { ...asset, verdict: 'sound' } as AssetReport;
    expect(grade([sound], { axis: 10, name: 90 }).scaled).toBe(817);
  });

  it('can get more than a sound one', () => {
    const collapses = [
      short('motion.collapse', 2, 9, 'note'),
      short('name.missing', 9, 9, 'warning'),
    ];
    const [asset] = rig(held('skin.sum'), ...collapses);
    const sound = { ...asset, verdict: 'sound' } as AssetReport;
    const unsound = rig(held('motion.collapse'), held('name.missing'), short('skin.sum', 1, 9));
    const points = { motion: 10, skin: 10, name: 80 };
    expect([sound, ...unsound].map((one) => grade([one], points).scaled)).toEqual([550, 800]);
  });
});

describe('rounding', () => {
  it('is half up, whatever binary fractions make of a half', () => {
    expect([0.05, 1.45, 8.35, 2.675, 12.25].map(toTenths)).toEqual([1, 15, 84, 27, 123]);
    // 15 x 3 / 5 x 3 / 4 = 6.75 and 15 x 2 / 5 x 4 / 5 = 4.8 leave 3.45, a little less in binary.
    const left = 15 - ((15 * 3 * 3) / (5 * 4) + (15 * 2 * 4) / (5 * 5));
    expect(left).toBeLessThan(3.45);
    expect(toTenths(left)).toBe(35);
    expect([0.0499, 0, 25].map(toTenths)).toEqual([0, 0, 250]);
  });

  it('of a share of the whole is done in whole numbers', () => {
    expect(scaleTenths(712, 800, 1000)).toBe(890);
    expect(scaleTenths(1, 3, 1)).toBe(0);
    expect(scaleTenths(1, 2, 1)).toBe(1);
  });

  it('shows a cost that is not nothing as more than nothing', () => {
    expect([0, 0.0004, 0.001, 5.625, 7.5].map(showLost)).toEqual([
      '0',
      'under 0.001',
      '0.001',
      '5.625',
      '7.5',
    ]);
  });
});

it.each([
  [59.9, 'note'],
  [60, 'error'],
  // What has no measure is beyond any.
  [null, 'error'],
] as const)('a bend that loses %s % of its volume counts as %s', (measured, level) => {
  const { grading } = rubricOf(null, rules);
  const bend = { rule: 'motion.collapse', level: 'note', measured } as const;
  expect(countedLevel(bend, grading)).toBe(level);
  expect(countedLevel(bend, { ...grading, countsFrom: {} })).toBe('error');
});
