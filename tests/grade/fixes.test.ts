import { expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { fixesOf } from '../../src/grade/fixes.js';
import { gradeAssets } from '../../src/grade/grade-assets.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { measuredAsset, type Seen } from './measured-asset.js';

// As grading does it: every joint is bent, too.
const settings = { ...defaultSettings(rules), motion: true };

/** Ids of the rules to fix, in order. */
/** As many points for each family, so that what is at fault decides. */
const EVEN = { axis: 10, place: 10, skin: 10, motion: 10, name: 10, chain: 10 };

function order(...seen: Seen[]): string[] {
  const assets = [measuredAsset('heron.glb', [seen])];
  const grade = gradeAssets(assets, rubricOf(EVEN, rules), settings);
  return fixesOf(assets, grade, settings).map(({ rule }) => rule.id);
}

const fault = (rule: string, short: number, level: Seen['level'] = 'error'): Seen => ({
  rule,
  looked: 10,
  short,
  stands: true,
  level,
});

it('what makes a rig unsound is fixed in the order of mending, whatever it costs', () => {
  expect(order(fault('axis.up', 10), fault('root.single', 1), fault('skin.sum', 1))).toEqual([
    'skin.sum',
    'root.single',
    'axis.up',
  ]);
});

it('of the rest the family that loses most comes first, and what costs nothing last', () => {
  expect(
    order(
      fault('root.centre', 5, 'note'),
      fault('rest.holder', 1, 'warning'),
      fault('axis.end', 10, 'warning'),
      fault('axis.up', 10, 'note'),
      fault('name.side', 1),
    ),
  ).toEqual(['name.side', 'axis.end', 'rest.holder', 'root.centre', 'axis.up']);
});

it('what counts as an error for points comes before what costs less, and after what makes a rig unsound', () => {
  const bends = fault('motion.collapse', 1, 'note');
  const [names, ends] = [fault('name.side', 4, 'warning'), fault('axis.end', 4, 'warning')];
  expect(order(ends, names, bends)).toEqual(['motion.collapse', 'axis.end', 'name.side']);
  expect(order(names, bends, fault('axis.up', 1))).toEqual([
    'axis.up',
    'motion.collapse',
    'name.side',
  ]);
});

it('where a joint stands is put right before the bend that it spoils', () => {
  const bends = fault('motion.collapse', 1, 'note');
  const [middle, names] = [fault('place.middle', 1, 'note'), fault('name.side', 4, 'warning')];
  expect(order(middle, names, bends)).toEqual(['place.middle', 'motion.collapse', 'name.side']);
  // A pair elsewhere has nothing to do with it.
  const asset = measuredAsset('heron.glb', [[bends, { ...middle, rule: 'place.pair' }]]);
  const findings = asset.findings.map((finding) =>
    finding.rule === 'place.pair'
      ? { ...finding, places: finding.places.map((place) => ({ ...place, pointer: '/nodes/999' })) }
      : finding,
  );
  const assets = [{ ...asset, findings }];
  const grade = gradeAssets(assets, rubricOf(null, rules), settings);
  expect(fixesOf(assets, grade, settings).map(({ rule }) => rule.id)).toEqual([
    'motion.collapse',
    'place.pair',
  ]);
});

it('of notes of one rule those that count as errors are told first', () => {
  const [asset] = [measuredAsset('heron.glb', [[fault('motion.collapse', 1, 'note')]])];
  const [bend] = asset.findings;
  if (bend === undefined) throw new Error('it has one finding');
  const findings = [40, 70, 44, 80].map((measured) => ({ ...bend, measured }));
  const assets = [{ ...asset, findings }];
  const grade = gradeAssets(assets, rubricOf(null, rules), settings);
  const [fix] = fixesOf(assets, grade, settings);
  expect(fix?.findings.map(({ finding }) => finding.measured)).toEqual([70, 80, 40, 44]);
});
