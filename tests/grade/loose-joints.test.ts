import { expect, it } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { markSubmission } from '../../src/grade/submission.js';

const settings = { ...defaultSettings(rules), motion: true };

/** What the tree of a heron loses when some of its joints hang on nothing, not even on a node. */
async function lost(...loose: string[]) {
  const puppet = raisePuppet('heron');
  puppet.holders.length = 0;
  for (const name of loose) puppet.joint(name).parent = null;
  const report = await checkAssetBytes(mainFile(buildPuppet(puppet)), { settings });
  const { grade } = markSubmission('a', [report], null, rubricOf(null, rules), settings);
  const told = report.findings.filter(({ rule }) => rule === 'root.single');
  return [
    told.map(({ level }) => level),
    ['root', 'chain'].map((name) => grade?.families.find((each) => each.family === name)?.lost),
  ];
}

it('a limb that hangs on nothing costs its chain, too, and a tip that moves no skin does not', async () => {
  expect(await lost('thigh_L')).toEqual([['error'], [10, 20]]);
  // An error as well: glTF 2.0 asks for a common root.
  expect(await lost('beak_tip')).toEqual([['error'], [10, 0]]);
  expect(await lost('beak_tip', 'thigh_L')).toEqual([['error'], [10, 20]]);
  expect(await lost()).toEqual([[], [0, 0]]);
});
