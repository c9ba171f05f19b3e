import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import { type Grade, gradeAssets } from '../../src/grade/grade-assets.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { scaleTenths, showLost, toTenths } from '../../src/grade/tenths.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { measuredAsset, type Seen } from './measured-asset.js';

const settings = defaultSettings(rules);

function grade(
  assets: readonly AssetReport[],
  points: Record<string, number>,
  change: Partial<Settings> = {},
): Grade {
  return gradeAssets(assets, rubricOf(points, rules), { ...settings, ...change });
}

const held = (rule: string, looked = 10): Seen => ({ rule, looked, short: 0, stands: false });
const short = (rule: string, count: number, looked: number): Seen => {
  return { rule, looked, short: count, stands: true };
};
const none = (rule: string): Seen => ({ rule, looked: null, short: 0, stands: false });

describe('the points of a rig of three joints, by hand', () => {
  // axis: aim (error, 3) 1 of 2 short, up (error, 3) held, end (warning, 2) 1 of 1 short.
  //   30 x 3 / 8 x 1 / 2 = 5.625 and 30 x 2 / 8 x 1 / 1 = 7.5; 30 - 13.125 = 16.875, told as 16.9.
  // name: missing (warning, 2) 1 of 3 short, side (error, 3) held.
  //   10 x 2 / 5 x 1 / 3 = 1.3333; 10 - 1.3333 = 8.6667, told as 8.7.
  // place: nothing applied, so 40 of 60 are possible; 25.6 x 60 / 40 = 38.4.
  const rig = [
    short('axis.aim', 1, 2),
    held('axis.up', 3),
    short('axis.end', 1, 1),
    none('axis.mirror'),
    short('name.missing', 1, 3),
    held('name.side', 3),
    none('place.inside'),
    none('place.pair'),
  ];
  const found = grade([measuredAsset('heron.glb', [rig])], { axis: 30, place: 20, name: 10 });

  it('are what a student finds with pen and paper', () => {
    expect(found.families.map(({ family, earned }) => [family, earned])).toEqual([
      ['axis', 169],
      ['place', null],
      ['name', 87],
    ]);
    expect([found.earned, found.possible, found.scaled]).toEqual([256, 400, 384]);
  });

  it('name what each rule cost', () => {
    const costs = found.families.flatMap((family) =>
      family.rules.map(({ rule, weight, lost }) => [rule.id, weight, family.weights, lost]),
    );
    expect(costs).toEqual([
      ['axis.aim', 3, 8, 5.625],
      ['axis.up', 3, 8, 0],
      ['axis.end', 2, 8, 7.5],
      ['name.missing', 2, 5, expect.closeTo(4 / 3, 12)],
      ['name.side', 3, 5, 0],
    ]);
  });

  it('say why a family was left out', () => {
    expect(found.families[1]?.because).toEqual(['there is none here']);
  });
});

describe('a rule', () => {
  it('is summed over the rigs of a file, and counts in the file that is worst', () => {
    const assets = [
      measuredAsset('a.glb', [[short('axis.aim', 1, 4)], [held('axis.aim', 4)]]),
      measuredAsset('b.glb', [[short('axis.aim', 2, 12)], [none('axis.aim')]]),
    ];
    // a.glb: 1 / 8; b.glb: 2 / 12. 10 x 3 / 3 x 2 / 12 = 1.6667
    const found = grade(assets, { axis: 10 });
    expect(found.earned).toBe(83);
    expect(found.families[0]?.rules[0]).toMatchObject({ short: 2, looked: 12, file: 'b.glb' });
  });

  it('costs the same with sound files beside the faulty one, and more of them held', () => {
    const faulty = measuredAsset('a.glb', [[short('axis.aim', 1, 4), held('axis.up', 4)]]);
    const sound = measuredAsset('b.glb', [[held('axis.aim', 40), held('axis.up', 40)]]);
    const alone = grade([faulty], { axis: 10 });
    const beside = grade([faulty, sound], { axis: 10 });
    expect([alone.earned, beside.earned]).toEqual([88, 88]);
    expect(beside.families[0]?.rules[1]).toMatchObject({ short: 0, looked: 44, file: null });
  });

  it('costs nothing where all its findings stepped back for another fault', () => {
    const stepped = { rule: 'axis.up', looked: 10, short: 4, stands: false };
    expect(grade([measuredAsset('a.glb', [[stepped]])], { axis: 10 }).earned).toBe(100);
  });

  it('that looked at nothing does not count, unless a finding stands', () => {
    const rig = [held('rest.holder', 0), short('rest.bind', 1, 2)];
    // Only rest.bind counts: 15 x 3 / 3 x 1 / 2 = 7.5.
    expect(grade([measuredAsset('a.glb', [rig])], { rest: 15 }).earned).toBe(75);
    const stands = [short('rest.holder', 0, 0), held('rest.bind', 2)];
    // Both count: 15 x 3 / 5 x 1 / 1 = 9.
    expect(grade([measuredAsset('a.glb', [stands])], { rest: 15 }).earned).toBe(90);
  });

  it('costs its share and no more when more fell short than were looked at', () => {
    const rig = [short('axis.aim', 9, 2), held('axis.up', 2)];
    expect(grade([measuredAsset('a.glb', [rig])], { axis: 10 }).earned).toBe(50);
  });

  it('weighs by the level that a standard gives it, and not at all when switched off', () => {
    const assets = [measuredAsset('a.glb', [[short('axis.aim', 1, 1), held('axis.up')]])];
    const note = new Map([['axis.aim', 'note' as const]]);
    // 10 x 1 / 4 x 1 / 1 = 2.5
    expect(grade(assets, { axis: 10 }, { levels: note }).earned).toBe(75);
    const off = new Map([['axis.aim', 'none' as const]]);
    expect(grade(assets, { axis: 10 }, { levels: off }).earned).toBe(100);
  });

  it('about assets looks at each file by itself', () => {
    const assets = [measuredAsset('a.glb', [[]]), measuredAsset('b.glb', [[]])];
    const bare = { rule: 'file.no-skin', looked: 1, short: 1, stands: true } as const;
    const [finding] = measuredAsset('b.glb', [[bare]]).findings;
    const without = { ...assets[1], rigs: [], findings: [{ ...finding, rig: null }] };
    // The parts of the two reports together are a report again.
    const both = [assets[0], without] as AssetReport[];
    expect(grade(both, { file: 10 }).earned).toBe(0);
    expect(grade([assets[0]] as AssetReport[], { file: 10 }).earned).toBe(100);
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
