// Sources: three.js (npm `three`) for where vertices stand before and after, see `skins-in-three.ts`; the
// Khronos glTF 2.0 Specification for what a file must keep to, see `tests/support/gltf-musts`.
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faults, plainFaults } from '../../fixtures/faults/index.js';
import type { Fault } from '../../fixtures/kit/fault.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendOptions, type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { isSeen } from '../../src/mend/proof/proof.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { readWhole } from '../support/gltf-musts/whole-file.js';
import { breachesOf } from '../support/gltf-musts.js';
import { tempFolder } from '../support/temp-folder.js';
import { BOLD } from './asked.js';
import { KEPT } from './kept-breaches.js';
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
  'stretching-neck': { resample: true, allow: ['chain.stretch'] },
  'squashed-head': { allow: ['scale.animated'] },
  'blinking-head': { allow: ['scale.animated'] },
  'swelling-head': { allow: ['scale.animated'] },
  'sheared-shin': { resample: true, allow: ['scale.nonuniform', 'scale.shear'] },
  'slightly-sheared-shin': { resample: true, allow: ['scale.nonuniform', 'scale.shear'] },
  'a-step-short': { allow: ['skin.sum'] },
  'foreleg-too-high': { allow: ['place.pair'] },
  'many-steps-short': { allow: ['skin.sum'] },
  'weights-a-little-short': { allow: ['skin.sum'] },
  'weights-far-short': { allow: ['skin.sum'] },
  'two-meshes-far-short': { allow: ['skin.sum'] },
  'forgotten-vertices': { allow: ['skin.unweighted'] },
  'weight-not-a-number': { allow: ['skin.repeat'] },
  'shin-on-the-head': { allow: ['skin.stray'] },
  'shin-on-the-thumb': { allow: ['skin.stray'] },
  'back-on-the-foot': { allow: ['skin.side'] },
};

/** Faults of mended rules that no mend can take away, with the word that says why. */
const STAY: Readonly<Record<string, RegExp>> = {
  'neck-spacer': /the node itself stays, because clips and programs may use it/,
  'side-without-partner': /only a person knows whether it has a side/,
  'thumbs-of-the-other-side': /clips in other files may use/,
  'arms-of-the-other-side': /clips in other files may use/,
};

/**
 * What three.js cannot show before: it drops a fifth influence, and a matrix that is no number or is missing
 * spoils all.
 */
const UNSHOWN = ['crowded-neck', 'bind-matrix-not-a-number', 'too-few-bind-matrices'];

const mended = faults.filter(({ rule }) => REPAIRS.some((repair) => repair.rules.includes(rule)));

test('most faults are of rules whose findings are mended', () => {
  expect(mended.length).toBeGreaterThan(faults.length / 2);
  for (const name of [...Object.keys(CHOICES), ...Object.keys(STAY)])
    expect(mended.map((fault) => fault.name)).toContain(name);
});

const settings = defaultSettings(rules);

interface Mended {
  readonly bytes: Uint8Array;
  readonly result: MendResult;
}

/** Each fault as it is stored, mended with nothing chosen: all tests below look at the one result. */
const unasked = new Map<Fault, Promise<Mended>>();

function mendedUnasked(fault: Fault): Promise<Mended> {
  const known = unasked.get(fault) ?? buildAndMend(fault);
  unasked.set(fault, known);
  return known;
}

async function buildAndMend(fault: Fault): Promise<Mended> {
  const weights = fault.weights === undefined ? {} : { weights: fault.weights };
  const bytes = buildGlb(fault.puppet, { faults: [fault], ...weights });
  return { bytes, result: await mend(bytes) };
}

function mend(bytes: Uint8Array, options: MendOptions = {}): Promise<MendResult> {
  return mendAsset(join(tempFolder({ 'rig.glb': bytes }), 'rig.glb'), settings, REPAIRS, {
    also: BOLD,
    ...options,
  });
}

test.each(mended)('$name comes out sound, is proved, and is mended once', async (fault) => {
  const options = CHOICES[fault.name];
  const { bytes, result } = await mendedBy(fault, options);
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
  const allows = options !== undefined && 'allow' in options;
  expect(isSeen(result.proof)).toBe(allows);
  // What a repair may change, its own tests look at; all else three.js shows as it was.
  if (!allows && !UNSHOWN.includes(fault.name))
    expect(await farthestSkin(bytes, result.files.main)).toBeLessThan(SAME);
  const again = await mend(result.files.main, options);
  expect(again.changes).toEqual([]);
  expect(Buffer.compare(again.files.main, result.files.main)).toBe(0);
});

async function mendedBy(fault: Fault, options: MendOptions | undefined): Promise<Mended> {
  if (options === undefined) return mendedUnasked(fault);
  const bytes = buildGlb(fault.puppet, { faults: [fault] });
  return { bytes, result: await mend(bytes, options) };
}

describe('a mended file keeps to all that glTF 2.0 asks of it', () => {
  test.each(plainFaults)('$name', async (fault) => {
    const { bytes, result } = await mendedUnasked(fault);
    const broken = [...breachesOf(readWhole(result.files.main)).keys()];
    expect(broken).toEqual(KEPT[fault.name] ?? []);
    // Nothing broken needs no excuse.
    if (broken.length === 0) return;
    const original = [...breachesOf(readWhole(bytes)).keys()];
    expect(original).toEqual(expect.arrayContaining(broken));
  });
});
