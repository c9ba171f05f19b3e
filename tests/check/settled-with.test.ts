import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { loadAssetBytes } from '../../src/asset/load-asset.js';
import { reportRigs } from '../../src/check/build-report.js';
import { defaultSettings, settledWith } from '../../src/check/settings.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { buildRigs } from '../../src/rig/build-rigs.js';

const settings = defaultSettings(rules);
const answered = REPAIRS.flatMap((repair) => repair.rules);
const some = settledWith(rules, answered);

test('rules that step back for others come along, and those they step back for', () => {
  const ids = (of: string): string[] => settledWith(rules, [of]).map(({ id }) => id);
  expect(ids('place.middle')).toEqual(['place.inside', 'place.middle']);
  expect(ids('place.inside')).toEqual(ids('place.middle'));
  expect(ids('skin.sum')).toEqual(['skin.sum']);
});

test('rules that no repair answers are left out, the costly ones among them', () => {
  const ids = some.map(({ id }) => id);
  expect(ids).not.toContain('skin.index');
  expect(ids).not.toContain('motion.collapse');
  expect(some.some(({ onRequest }) => onRequest)).toBe(false);
});

test.each(faults)('the answered findings of $name are those of a whole report', async (fault) => {
  const asset = await loadAssetBytes(buildGlb(fault.puppet, { faults: [fault] }), null);
  const model = buildRigs(asset);
  const whole = reportRigs(model, settings).findings;
  const few = reportRigs(model, { ...settings, rules: some }).findings;
  const ofRepairs = ({ rule }: { rule: string }): boolean => answered.includes(rule);
  expect(few.filter(ofRepairs)).toEqual(whole.filter(ofRepairs));
});
