import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { Convention } from '../../../fixtures/kit/frames.js';
import { rules } from '../../../rules/index.js';
import { MIRROR_SCHEMES, type MirrorScheme } from '../../../src/measure/mirror-schemes.js';
import { conventions } from '../../../src/measure/skeleton/conventions.js';
import { heldScheme, mirror } from '../../../src/measure/skeleton/mirror.js';
import { parseStandard } from '../../../src/standard/read-standard.js';
import { factsOf } from '../../support/facts-of.js';
import { findingsOf } from '../../support/findings-of.js';

const asking = (scheme: MirrorScheme, conventions: object = {}) =>
  parseStandard(
    JSON.stringify({ conventions: { ...conventions, mirror: scheme } }),
    'house.json',
    rules,
  ).settings;

const told = async (glb: Uint8Array, scheme: MirrorScheme) =>
  (await findingsOf(glb, 'axis.mirror', asking(scheme))).findings;

/** What the fixture kit calls the schemes that it builds by. */
const BUILT: Readonly<Record<Exclude<MirrorScheme, 'copied'>, Convention['mirror']>> = {
  'all reversed': 'negate-all',
  'aim reversed': 'negate-aim',
  'up reversed': 'negate-up',
  'side reversed': 'negate-side',
};

describe('a rig whose right frames follow another scheme than the standard asks for', () => {
  for (const [scheme, built] of Object.entries(BUILT))
    it(`is told once, with all its pairs, unless that is ${scheme}, as it was built`, async () => {
      const heron = buildGlb('heron', { convention: { aim: '+X', up: '+Y', mirror: built } });
      const pairs = mirror(await factsOf(heron)).pairs.length;
      // Legs that hang straight down have frames that are copied and side reversed at once.
      for (const asked of MIRROR_SCHEMES.filter((one) => one !== 'copied')) {
        const findings = await told(heron, asked);
        const said = findings.map(({ counts, places }) => [counts?.short, places.length]);
        expect([asked, said]).toEqual([asked, asked === scheme ? [] : [[pairs, 2 * pairs]]]);
      }
      expect(await told(heron, 'copied')).toHaveLength(1);
    });

  it('is told with the angle between the two schemes, and what the right frame is to be', async () => {
    // Aim and up of the heron are +Y and +Z: this one reverses both of them besides the side.
    const [finding] = await told(buildGlb('heron'), 'all reversed');
    expect(finding?.measured).toBeCloseTo(180, 3);
    expect(finding?.message).toMatch(
      /are 180° off the mirror scheme that the standard asks for, all reversed \(limit 10°\)/,
    );
    expect(finding?.remedy).toContain(
      'by the scheme of the standard: the right frame is the mirrored left frame with all three axes reversed.',
    );
  });
});

describe('one pair', () => {
  it('that is off the scheme of the standard is told alone', async () => {
    const beetle = buildGlb('stag-beetle', { faults: [faultNamed('unmirrored-leg')] });
    const [finding, ...others] = await told(beetle, 'side reversed');
    expect(others).toEqual([]);
    expect(finding?.place.joint).toBeDefined();
    expect(finding?.measured).toBeCloseTo(20, 1);
  });
});

it('up and side are only names where nothing tells up, and then both hold', async () => {
  const seen = new Set<boolean>();
  for (const built of ['negate-up', 'negate-side'] as const)
    for (const [aim, up] of [
      ['+X', '+Y'],
      ['+Y', '+X'],
    ] as const) {
      const glb = buildGlb('marionette', { convention: { aim, up, mirror: built } });
      const facts = await factsOf(glb);
      const asked = { ...facts, wanted: { ...facts.wanted, mirror: 'up reversed' as const } };
      const isClear = conventions(facts).upKnown;
      const { scheme } = mirror(facts);
      seen.add(isClear);
      expect(heldScheme(asked)).toBe(isClear ? 'up reversed' : scheme);
    }
  expect(seen).toEqual(new Set([true, false]));
});
