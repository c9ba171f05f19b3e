import { expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { fixesOf } from '../../src/grade/fixes.js';
import { gradeAssets } from '../../src/grade/grade-assets.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { measuredAsset, type Seen } from './measured-asset.js';

const settings = defaultSettings(rules);

/** Ids of the rules to fix, in order. */
function order(...seen: Seen[]): string[] {
  const assets = [measuredAsset('heron.glb', [seen])];
  const grade = gradeAssets(assets, rubricOf(null, rules), settings);
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
