// Source: three.js (npm `three`) for where vertices stand before and after, see `skins-in-three.ts`.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendOptions, mendAsset } from '../../src/mend/mend-asset.js';
import { isSeen } from '../../src/mend/proof/proof.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { tempFolder } from '../support/temp-folder.js';
import { farthestSkin } from './skins-in-three.js';

/** Share of the figure's reach. */
const SAME = 1e-5;

/** What somebody has to choose before the fault can be mended. */
const CHOICES: Readonly<Record<string, MendOptions>> = {
  'bent-elbow': { restFrom: 'bind', allow: ['rest.bind'] },
  'boot-bound-bent': { restFrom: 'pose' },
  'stored-between-keys': { restFrom: 'bind', allow: ['rest.bind'] },
  'torn-forearm': { restFrom: 'bind', allow: ['rest.bind'] },
  'stored-in-a-wave': { restFrom: 'bind', allow: ['rest.bind'] },
  'sheared-shin': { resample: true, allow: ['scale.nonuniform', 'scale.shear'] },
  'slightly-sheared-shin': { resample: true, allow: ['scale.nonuniform', 'scale.shear'] },
  'a-step-short': { allow: ['skin.sum'] },
  'many-steps-short': { allow: ['skin.sum'] },
  'weights-a-little-short': { allow: ['skin.sum'] },
  'weights-far-short': { allow: ['skin.sum'] },
  'two-meshes-far-short': { allow: ['skin.sum'] },
};

/** Faults of mended rules that no mend can take away, with the word that says why. */
const STAY: Readonly<Record<string, RegExp>> = {
  'neck-spacer': /the node itself stays, because clips and programs may use it/,
  'default-name': /only a person knows what these joints are/,
  'side-without-partner': /only a person knows whether it has a side/,
  'thumbs-of-the-other-side': /clips in other files may use/,
  'arms-of-the-other-side': /clips in other files may use/,
  'weight-not-a-number': /not a number/,
};

/** What three.js cannot show before: it drops a fifth influence, and a weight that is no number spoils all. */
const UNSHOWN = ['crowded-neck', 'weight-not-a-number'];

const mended = faults.filter(({ rule }) => REPAIRS.some((repair) => repair.rules.includes(rule)));

test('most faults are of rules whose findings are mended', () => {
  expect(mended.length).toBeGreaterThan(faults.length / 2);
  for (const name of [...Object.keys(CHOICES), ...Object.keys(STAY)])
    expect(mended.map((fault) => fault.name)).toContain(name);
});

test.each(mended)('$name comes out sound, is proved, and is mended once', async (fault) => {
  const options = CHOICES[fault.name] ?? {};
  const path = join(tempFolder(), 'rig.glb');
  const mend = async (bytes: Uint8Array) => {
    writeFileSync(path, bytes);
    return mendAsset(path, defaultSettings(rules), REPAIRS, options);
  };
  const bytes = buildGlb(fault.puppet, { faults: [fault] });
  const result = await mend(bytes);
  expect(result.before.findings.map(({ rule }) => rule)).toContain(fault.rule);
  expect(result.offending).toBeNull();
  const left = result.after.findings.filter(({ rule }) => rule === fault.rule);
  const stays = STAY[fault.name];
  if (stays === undefined) {
    expect(left).toEqual([]);
    expect(result.after.verdict).toBe('sound');
  } else {
    expect(left.length).toBeGreaterThan(0);
    expect(result.left.map(({ why }) => why).join('\n')).toMatch(stays);
  }
  expect(isSeen(result.proof)).toBe('allow' in options);
  // What a repair may change, its own tests look at; all else three.js shows as it was.
  if (!('allow' in options) && !UNSHOWN.includes(fault.name))
    expect(await farthestSkin(bytes, result.files.main)).toBeLessThan(SAME);
  const again = await mend(result.files.main);
  expect(again.changes).toEqual([]);
  expect(Buffer.compare(again.files.main, result.files.main)).toBe(0);
});
