import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Convention } from '../../fixtures/kit/frames.js';
import { rules } from '../../rules/index.js';
import type { MirrorScheme } from '../../src/measure/mirror-schemes.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { tempFolder } from '../support/temp-folder.js';

async function mended(bytes: Uint8Array, mirror: MirrorScheme) {
  const path = join(tempFolder({ 'rig.glb': bytes }), 'rig.glb');
  const text = JSON.stringify({ conventions: { mirror } });
  const { settings } = parseStandard(text, 'house.json', rules);
  const result = await mendAsset(path, settings, [turnedFrames]);
  const rulesOf = (report: typeof result.before): string[] =>
    report.findings.map(({ rule }) => rule);
  return { ...result, found: rulesOf(result.before), left: rulesOf(result.after) };
}

const built = (mirror: Convention['mirror']) =>
  buildGlb('heron', { convention: { aim: '+X', up: '+Y', mirror } });

it('a pair that is off the scheme of the standard is turned to it', async () => {
  const beetle = buildGlb('stag-beetle', { faults: [faultNamed('unmirrored-leg')] });
  const { found, left, offending, changes } = await mended(beetle, 'side reversed');
  expect([found, left, offending]).toEqual([['axis.mirror'], [], null]);
  expect(changes.length).toBeGreaterThan(0);
});

it.each([
  // Turned about the bones.
  ['negate-side', 'up reversed', []],
  // The aim axis would have to point the other way, against the bones: that is another convention.
  ['negate-side', 'all reversed', ['axis.mirror']],
  ['negate-all', 'side reversed', ['axis.mirror']],
] as const)('a rig that was built by %s and is to be %s gets no other fault', async (...row) => {
  const [from, to, remaining] = row;
  const { found, left, offending } = await mended(built(from), to);
  expect([found, left, offending]).toEqual([['axis.mirror'], remaining, null]);
});
