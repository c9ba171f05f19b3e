import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import { type Grade, gradeAssets } from '../../src/grade/grade-assets.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { scaleTenths, showLost, toTenths } from '../../src/grade/tenths.js';
import type { Level } from '../../src/kit/finding.js';
import type { AssetReport } from '../../src/report/report-types.js';
import type { WrittenGrading } from '../../src/standard/grading.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { sampleFinding } from '../report/sample-report.js';
import { measuredAsset, type Seen } from './measured-asset.js';

const settings = defaultSettings(rules);

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
  //   30 x (1/3 + 1/6) = 15; 15 left.
  // name: 1 joint without a name (warning). 10 x 1/2 x 1/3 = 1.667; 8.333 left, told as 8.3.
  // place: nothing applied, so 40 of 60 are possible; 23.3 x 60 / 40 = 34.95, told as 35.0.
  // It is unsound: 35.0 x 70 % = 24.5.
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
      ['axis', 150],
      ['place', null],
      ['name', 83],
    ]);
    expect([found.earned, found.possible, found.uncapped, found.scaled]).toEqual([
      233, 400, 350, 245,
    ]);
  });

  it('name what each family lost, and the shares that it is the sum of', () => {
    expect(found.families.map(({ cost, lost }) => [cost.terms, lost])).toEqual([
      [['1/3', '1/6'], 15],
      [[], 0],
      [['1/2 × 1/3'], expect.closeTo(5 / 3, 12)],
    ]);
  });

  it('say why a family was left out', () => {
    expect(found.families[1]?.because).toEqual(['there is none here']);
  });
});

describe('joints at fault', () => {
  // Bands of a third and two thirds, a sixth for the first error; a warning counts half. Of 60 points:
  it.each([
    ['no joint', [], 0],
    ['one warning', [short('axis.up', 1, 10, 'warning')], 10],
    ['four warnings', [short('axis.up', 4, 10, 'warning')], 10],
    ['five warnings', [short('axis.up', 5, 10, 'warning')], 20],
    ['one error', [short('axis.up', 1, 10)], 30],
    ['four errors', [short('axis.up', 4, 10)], 30],
    ['five errors', [short('axis.up', 5, 10)], 50],
    ['one error among five', [short('axis.aim', 1, 10), short('axis.up', 5, 10, 'warning')], 40],
    ['nine notes', [short('axis.up', 9, 10, 'note')], 0],
    ['nine notes and an error', [short('axis.aim', 1, 10), short('axis.up', 9, 10, 'note')], 30],
  ])('%s', (_, seen, lost) => {
    expect(lostOf60(seen)).toBeCloseTo(lost, 9);
  });

  it('count once in a family, however many rules find them at fault', () => {
    expect(lostOf60([short('axis.aim', 3, 10), short('axis.up', 4, 10)])).toBeCloseTo(30, 9);
  });

  it('cost notes where the standard says so, and what else it says', () => {
    const written = { notes: '1/4', warnings: 0.5, error: '10 %' };
    expect(lostOf60([short('axis.up', 9, 10, 'note')], written)).toBeCloseTo(10, 9);
    // 60 x (1/4 of the band of 6 + 1/4 of that of 4 + 1/2 of that of 1 + 10 %)
    const mixed = [
      short('axis.end', 6, 10, 'note'),
      short('axis.up', 4, 10, 'warning'),
      short('axis.aim', 1, 10),
    ];
    expect(lostOf60(mixed, written)).toBeCloseTo(60 * (1 / 6 + 1 / 12 + 1 / 6 + 0.1), 9);
    const one = { bands: [{ from: 3, costs: 0.25 }], error: 0, warnings: 1 };
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
    // a.glb: 3 joints; b.glb: 5. 12 x (2/3 + 1/6) = 10
    const found = grade(assets, { axis: 12 });
    expect(found.families[0]).toMatchObject({ file: 'b.glb', lost: 10 });
  });

  it('loses the same with sound files beside the faulty one, or the same file twice', () => {
    const faulty = measuredAsset('a.glb', [[short('axis.aim', 3, 4), held('axis.up', 4)]]);
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
    expect(grade(both, { file: 10 }).earned).toBe(50);
    expect(grade([assets[0]] as AssetReport[], { file: 10 }).earned).toBe(100);
  });
});

describe('an unsound rig', () => {
  const rig = (...seen: Seen[]): AssetReport[] => [measuredAsset('a.glb', [seen])];
  const shin = rig(short('axis.up', 1, 20), held('name.missing'));
  const shinAndNames = rig(short('axis.up', 1, 20), short('name.missing', 9, 9, 'warning'));

  it('keeps seven tenths, so it gets no more, and their order stays', () => {
    const points = { axis: 20, name: 80 };
    // 20 x 1/2 = 10 lost, 90 x 70 % = 63; 80 x 1/3 = 26.667 more, 63.3 x 70 % = 44.31.
    expect([shin, shinAndNames].map((one) => grade(one, points).scaled)).toEqual([630, 443]);
    expect(grade(shin, { name: 100 }).scaled).toBe(700);
  });

  it('keeps what the standard says', () => {
    const kept = (unsound: string) => grade(shin, { axis: 20, name: 80 }, {}, { unsound }).scaled;
    expect([kept('100 %'), kept('1/2'), kept('0 %')]).toEqual([900, 450, 0]);
  });

  it('is one as the verdict says: with no findings that fail there is none', () => {
    const [asset] = shin;
    const sound = { ...asset, verdict: 'sound' } as AssetReport;
    expect(grade([sound], { axis: 20, name: 80 }).scaled).toBe(900);
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
