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
  //   An error costs all of 30; none left.
  // name: 1 joint without a name (warning). 15 x 1/2 = 7.5; 7.5 left.
  // place: nothing applied, so 45 of 65 are possible.
  // 0 + 7.5 = 7.5; 7.5 x 65 / 45 = 10.83, told as 10.8. As an unsound rig it could get 52.
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
  const found = grade([measuredAsset('heron.glb', [rig])], { axis: 30, place: 20, name: 15 });

  it('are what a student finds with pen and paper', () => {
    expect(found.families.map(({ family, earned }) => [family, earned])).toEqual([
      ['axis', 0],
      ['place', null],
      ['name', 75],
    ]);
    expect([found.earned, found.possible, found.uncapped, found.scaled]).toEqual([
      75, 450, 108, 108,
    ]);
  });

  it('name what each family lost, and the shares that it is the sum of', () => {
    expect(found.families.map(({ cost, lost }) => [cost.terms, lost])).toEqual([
      [['1'], 30],
      [[], 0],
      [['1/2'], 7.5],
    ]);
  });

  it('say why a family was left out', () => {
    expect(found.families[1]?.because).toEqual(['there is none here']);
  });
});

describe('joints at fault', () => {
  // A half up to four, all from five on, and all for an error. Of 60 points:
  it.each([
    ['no joint', [], 0],
    ['one warning', [short('axis.up', 1, 10, 'warning')], 30],
    ['four warnings', [short('axis.up', 4, 10, 'warning')], 30],
    ['five warnings', [short('axis.up', 5, 10, 'warning')], 60],
    ['one error', [short('axis.up', 1, 10)], 60],
    ['five errors', [short('axis.up', 5, 10)], 60],
    ['an error and a warning', [short('axis.aim', 1, 10), short('axis.up', 1, 10, 'warning')], 60],
    ['nine notes', [short('axis.up', 9, 10, 'note')], 0],
    [
      'nine notes and a warning',
      [short('axis.aim', 1, 10, 'warning'), short('axis.up', 9, 10, 'note')],
      30,
    ],
  ])('%s', (_, seen, lost) => {
    expect(lostOf60(seen)).toBeCloseTo(lost, 9);
  });

  it('count once in a family, however many rules find them at fault', () => {
    expect(lostOf60([short('axis.aim', 3, 10), short('axis.up', 4, 10)])).toBeCloseTo(60, 9);
    const warned = [short('axis.aim', 3, 10, 'warning'), short('axis.up', 4, 10, 'warning')];
    expect(lostOf60(warned)).toBeCloseTo(30, 9);
  });

  it('cost notes where the standard says so, and what else it says', () => {
    const bands = [
      { from: 1, costs: '1/3' },
      { from: 5, costs: '2/3' },
    ];
    const written = { bands, notes: '1/4', warnings: 0.5, error: 0 };
    expect(lostOf60([short('axis.up', 9, 10, 'note')], written)).toBeCloseTo(10, 9);
    // 60 x (1/4 of the band of 6 + 1/4 of that of 4 + 1/2 of that of 1)
    const mixed = [
      short('axis.end', 6, 10, 'note'),
      short('axis.up', 4, 10, 'warning'),
      short('axis.aim', 1, 10),
    ];
    expect(lostOf60(mixed, written)).toBeCloseTo(60 * (1 / 6 + 1 / 12 + 1 / 6), 9);
    const one = { bands: [{ from: 3, costs: 0.25 }], error: 0 };
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
  it('counts in the rig that loses most, of all rigs of all files', () => {
    const aims = (count: number) => short('axis.aim', count, 12, 'warning');
    const assets = [
      measuredAsset('a.glb', [[aims(3)], [held('axis.aim', 4)]]),
      measuredAsset('b.glb', [[aims(3)], [aims(5)], [aims(2)]]),
    ];
    const [first] = grade(assets, { axis: 12 }).families;
    expect(first).toMatchObject({ file: 'b.glb', rig: 1, lost: 12 });
    expect(first?.faulty).toHaveLength(5);
    // Two copies of one rig are no more faults than one of them.
    const copies = [[aims(3)], [aims(3)]];
    expect(grade([measuredAsset('c.glb', copies)], { axis: 12 }).families[0]?.lost).toBe(6);
  });

  it('loses no more where a note is found besides, nor for the rig whose joints are listed', () => {
    const rig = [short('root.single', 4, 9, 'warning')];
    const asset = measuredAsset('a.glb', [rig]);
    const [finding = sampleFinding()] = asset.findings;
    const whole = { ...finding.place, kind: 'rig', path: '', pointer: '/skins/0' } as const;
    const roots = { ...finding, places: [whole, ...finding.places] };
    const note = {
      ...finding,
      level: 'note',
      places: [{ ...finding.place, pointer: '/nodes/9' }],
    } as const;
    const measured = [
      { rule: 'root.single', kind: 'judged', looked: 9, short: 5, elsewhere: 0, of: 'joints' },
    ] as const;
    const rigs = asset.rigs.map((one) => ({ ...one, measured }));
    const found = grade([{ ...asset, rigs, findings: [roots, note] }], { root: 10 }).families[0];
    expect(found?.faulty.map(({ kind, level }) => `${kind} ${level}`)).toEqual([
      ...Array.from({ length: 4 }, () => 'joint warning'),
      'joint note',
    ]);
    expect(found?.lost).toBe(5);
  });

  it('counts what one scale skews as one fault, however many joints it skews', () => {
    const asset = measuredAsset('a.glb', [[short('scale.shear', 9, 20, 'warning')]]);
    expect(grade([asset], { scale: 10 }).families[0]).toMatchObject({ lost: 5 });
  });

  it('counts in the file with an error, where that costs more than a higher band of its own', () => {
    const many = measuredAsset('a.glb', [[short('axis.up', 9, 10, 'warning')]]);
    const one = measuredAsset('b.glb', [[short('axis.aim', 1, 10)]]);
    // a.glb: 20 x 3/4. b.glb: all of 20, or a half of it where an error costs no more.
    const bands = [
      { from: 1, costs: '1/2' },
      { from: 5, costs: '3/4' },
    ];
    const points = { axis: 20, name: 80 };
    const found = grade([many, one], points, {}, { bands });
    expect(found.families[0]).toMatchObject({ file: 'b.glb', earned: 0 });
    const free = grade([many, one], points, {}, { bands, error: 0 });
    expect(free.families[0]).toMatchObject({ file: 'a.glb', earned: 50 });
  });

  it('loses the same with sound files beside the faulty one, or the same file twice', () => {
    const aims = short('axis.aim', 3, 4, 'warning');
    const faulty = measuredAsset('a.glb', [[aims, held('axis.up', 4)]]);
    const sound = measuredAsset('b.glb', [[held('axis.aim', 40), held('axis.up', 40)]]);
    const grades = [[faulty], [faulty, sound], [faulty, { ...faulty, path: 'c.glb' }]];
    expect(grades.map((assets) => grade(assets, { axis: 10 }).earned)).toEqual([50, 50, 50]);
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
    expect(grade(both, { file: 10 }).earned).toBe(0);
    expect(grade([assets[0]] as AssetReport[], { file: 10 }).earned).toBe(100);
  });
});

const rig = (...seen: Seen[]): AssetReport[] => [measuredAsset('a.glb', [seen])];

describe('an error', () => {
  const thirds = {
    bands: [
      { from: 1, costs: '1/3' },
      { from: 5, costs: '2/3' },
    ],
  };

  it('costs what the standard says at once, and the band where that is more', () => {
    const one = [short('axis.aim', 1, 9)];
    expect(lostOf60(one, { ...thirds, error: '1/2' })).toBeCloseTo(30, 9);
    expect(lostOf60(one, { ...thirds, error: 0 })).toBeCloseTo(20, 9);
    const five = [short('axis.aim', 5, 9)];
    expect(lostOf60(five, { ...thirds, error: '1/2' })).toBeCloseTo(40, 9);
    expect(lostOf60([short('axis.aim', 1, 9, 'warning')], thirds)).toBeCloseTo(20, 9);
  });

  it('costs nothing of other families, nor of one without points', () => {
    const seen = rig(short('axis.aim', 1, 9), held('skin.side'));
    expect(grade(seen, { axis: 40, skin: 60 }).earned).toBe(600);
    expect(grade(seen, { skin: 60 }).earned).toBe(600);
  });
});

describe('a rule that says what a rig with it can get at most', () => {
  const tail = (level: Level) => rig(short('chain.direction', 1, 9, level), held('name.side'));
  const points = { chain: 10, name: 90 };
  const sound = (level: Level) =>
    tail(level).map((asset): AssetReport => ({ ...asset, verdict: 'sound' }));

  it('goes by the levels that findings count as, and lies below the most of an unsound rig', () => {
    expect(grade(sound('warning'), points)).toMatchObject({
      uncapped: 900,
      scaled: 500,
      cap: { most: 500, rule: 'chain.direction' },
    });
    expect(grade(tail('error'), points).cap).toEqual({ most: 500, rule: 'chain.direction' });
    const counts = { 'chain.direction': 'note' } as const;
    expect(grade(sound('warning'), points, {}, { counts })).toMatchObject({
      scaled: 1000,
      cap: null,
    });
  });

  it('is what the standard says, rule by rule', () => {
    const most = (written: Record<string, number | string>) =>
      grade(tail('error'), points, {}, { most: written }).scaled;
    expect(most({ 'chain.direction': 1 })).toBe(900);
    expect(most({ 'chain.direction': '1/3' })).toBe(333);
    expect(most({ 'axis.up': '10 %' })).toBe(500);
  });

  it('holds whatever its family is worth', () => {
    expect(grade(sound('warning'), { name: 100 })).toMatchObject({ scaled: 500 });
  });
});

describe('a level that findings count as', () => {
  const counted = (seen: Seen, written: WrittenGrading = {}, levels = {}) => {
    const text = JSON.stringify({ grading: written, levels });
    const { grading } = parseStandard(text, 'class.json', rules);
    const family = seen.rule.split('.')[0] ?? '';
    const found = gradeAssets(rig(seen), rubricOf({ [family]: 30 }, rules, grading), settings);
    return found.families[0]?.lost;
  };

  it('is by default that of what it takes to mend them', () => {
    expect(counted(short('motion.collapse', 1, 9, 'note'))).toEqual(30);
    expect(counted(short('chain.direction', 1, 9, 'warning'))).toEqual(30);
    expect(counted(short('skin.sum', 1, 9))).toEqual(15);
    expect(counted(short('skin.index', 1, 9))).toEqual(30);
  });

  it('is what the standard says, rule by rule', () => {
    const counts = { 'motion.collapse': 'note', 'skin.side': 'error' } as const;
    expect(counted(short('motion.collapse', 1, 9, 'note'), { counts })).toEqual(0);
    expect(counted(short('skin.side', 1, 9, 'warning'), { counts })).toEqual(30);
    expect(counted(short('skin.sum', 1, 9), { counts })).toEqual(15);
  });

  it('is no default where the standard gives the rule or its family a level', () => {
    const seen = short('motion.collapse', 1, 9, 'warning');
    expect(counted(seen, {}, { 'motion.collapse': 'warning' })).toEqual(15);
    expect(counted(seen, {}, { motion: 'warning' })).toEqual(15);
    const counts = { 'motion.collapse': 'error' } as const;
    expect(counted(seen, { counts }, { motion: 'warning' })).toEqual(30);
  });

  it('goes before a milder one of another rule at the same joint', () => {
    const asset = measuredAsset('a.glb', [
      [short('chain.direction', 2, 9, 'warning'), short('chain.hinge', 2, 9, 'note')],
    ]);
    expect(grade([asset], { chain: 30 }).families[0]).toMatchObject({ lost: 30 });
  });
});

describe('an unsound rig', () => {
  const shin = rig(short('axis.up', 1, 20), held('name.missing'));
  const shinAndNames = rig(short('axis.up', 1, 20), short('name.missing', 9, 9, 'warning'));

  it('gets no more than its share of all points, and less where it lost more', () => {
    const points = { axis: 5, name: 95 };
    // All of 5 are lost, and with nine joints without a name all of 95.
    const [one, two] = [shin, shinAndNames].map((assets) => grade(assets, points));
    expect([one?.uncapped, one?.scaled]).toEqual([950, 900]);
    expect([two?.uncapped, two?.scaled]).toEqual([0, 0]);
    expect(grade(shin, { name: 100 }).scaled).toBe(900);
  });

  it('gets what the standard says, rounded down', () => {
    const most = (unsound: string) => grade(shin, { name: 100 }, {}, { unsound }).scaled;
    expect(['100 %', '1/3', '57 %', '0 %'].map(most)).toEqual([1000, 333, 570, 0]);
  });

  it('is one as the verdict says: with no findings that fail there is none', () => {
    const [asset] = shin;
    const sound = { ...asset, verdict: 'sound' } as AssetReport;
    expect(grade([sound], { axis: 10, name: 90 }).scaled).toBe(900);
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
    expect([sound, ...unsound].map((one) => grade([one], points).scaled)).toEqual([100, 900]);
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
  [44.9, 'note'],
  [45, 'error'],
  // What has no measure is beyond any.
  [null, 'error'],
] as const)('a bend that loses %s % of its volume counts as %s', (measured, level) => {
  const { grading } = rubricOf(null, rules);
  const bend = { rule: 'motion.collapse', level: 'note', measured } as const;
  expect(countedLevel(bend, grading)).toBe(level);
  expect(countedLevel(bend, { ...grading, countsFrom: {} })).toBe('error');
});

describe('errors of a rule that count in a second family', () => {
  // Points 10 and 20: two joints hang on nothing, and no chain is at fault by itself.
  const rig = (level: Level): Seen[] => [short('root.single', 2, 9, level), held('chain.parent')];
  const lost = (level: Level, written: WrittenGrading = {}, chain = 20) =>
    grade([measuredAsset('a.glb', [rig(level)])], { root: 10, chain }, {}, written).families.map(
      (family) => [family.family, family.lost],
    );

  it('cost the points of both', () => {
    expect(lost('error')).toEqual([
      ['root', 10],
      ['chain', 20],
    ]);
  });

  it('only as errors: a warning counts in its own', () => {
    expect(lost('warning')).toEqual([
      ['root', 5],
      ['chain', 0],
    ]);
  });

  it('not where the standard takes the second family away, or it has no points', () => {
    expect(lost('error', { also: { 'root.single': 'none' } })).toEqual([
      ['root', 10],
      ['chain', 0],
    ]);
    expect(lost('error', {}, 0)).toEqual([['root', 10]]);
    // Its own family is no second one.
    expect(lost('error', { also: { 'root.single': 'root' } })).toEqual([
      ['root', 10],
      ['chain', 0],
    ]);
  });

  it('together with what is at fault there already', () => {
    const both = [short('root.single', 2, 9), short('chain.length', 3, 9, 'warning')];
    const found = grade([measuredAsset('a.glb', [both])], { root: 10, chain: 20 });
    expect(found.families.map((family) => family.lost)).toEqual([10, 20]);
    // The first two joints of three, which is all that both list: each counts once, at its graver level.
    expect(found.families[1]?.faulty.map(({ level }) => level).sort()).toEqual([
      'error',
      'error',
      'warning',
    ]);
  });

  it('but not where no rule of that family applied', () => {
    const alone = [short('root.single', 2, 9), none('chain.parent')];
    const found = grade([measuredAsset('a.glb', [alone])], { root: 10, chain: 20 });
    expect(found.families.map(({ earned }) => earned)).toEqual([0, null]);
    expect(found.possible).toBe(100);
  });
});
