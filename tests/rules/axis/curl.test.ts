import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { turnAbout } from '../../../fixtures/kit/turns.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { percentage } from '../../../src/kit/figures.js';
import { curledSegments, curls } from '../../../src/measure/skeleton/curl.js';
import { curlChain, judgedDegrees } from '../../../src/measure/skeleton/curl-pose.js';
import { LETTERS } from '../../../src/rig/letters.js';
import { factsOf } from '../../support/facts-of.js';
import { findingsOf, pathsOf } from '../../support/findings-of.js';
import { chainJoints, tinyGlb, tubeSkin } from '../../support/tiny-rig.js';

/** Of the chain's length. */
const ROUNDING = 1e-6;

describe('rings on another axis than their rig', () => {
  const fault = faultNamed('rings-on-another-axis');
  const bytes = buildGlb(fault.puppet, { faults: [fault] });

  it('are told by their own rule, which says what their curl comes to', async () => {
    const [curl] = [...curls(await factsOf(bytes))].sort((a, b) => b.drift - a.drift);
    expect(curl?.drift).toBeGreaterThan(0.3);
    const { findings } = await findingsOf(bytes, 'axis.uniform');
    expect(findings.flatMap(({ consequences }) => consequences)).toEqual([
      `Turning every joint from "saddle" to "ring_fore_3" by 30° about ${curl?.letter} curls them out of their plane, by ${percentage(100 * (curl?.drift ?? 0))} of the segment's length (limit 2 %).`,
    ]);
    expect((await findingsOf(bytes, 'axis.curl')).findings).toEqual([]);
  });

  it('stray about each letter that bends the chain, and about the one that twists the others', async () => {
    const { chain } =
      curledSegments(await factsOf(bytes)).find(({ off }) => off.flat().some((by) => by > 80)) ??
      {};
    if (chain === undefined) throw new Error('two rings are on another axis');
    // They were turned about up, so that letter alone is still theirs.
    const { up, side } = chain.letters;
    const [twist] = LETTERS.filter((letter) => letter !== up && letter !== side);
    const drift = (letter = up) =>
      curlChain(chain, letter, judgedDegrees(chain.steps.length)).drift;
    expect(drift(up)).toBeLessThan(ROUNDING);
    expect(drift(side)).toBeGreaterThan(0.3);
    expect(drift(twist)).toBeGreaterThan(0.3);
  });
});

describe('small rolls that add up', () => {
  const run = Array.from({ length: 8 }, (_, k): Vec3 => [0.1 * k, 1, 0]);
  /** A level chain whose inner joints are rolled one way and then the other; mirrored as a whole or not. */
  const rolled = (degrees: number, isMirrored = false): Uint8Array => {
    const turns = run.map((_, k) =>
      turnAbout([1, 0, 0], k > 0 && k < 7 ? (k < 4 ? degrees : -degrees) : 0),
    );
    const skin = tubeSkin(run, 0.03, [0, 1, 0]);
    return tinyGlb(chainJoints(run, turns), skin, (json) => {
      if (!isMirrored) return;
      const [scene] = json.scenes ?? [];
      json.nodes.push({ name: 'holder', scale: [-1, 1, 1], children: [0] });
      if (scene !== undefined) scene.nodes = [json.nodes.length - 1, json.nodes.length - 2];
    });
  };

  it('are told of the letter and the amount that show them, and not just inside the limit', async () => {
    const said = await findingsOf(rolled(4.95), 'axis.curl');
    expect(pathsOf(said)).toEqual(['rod 1']);
    expect(said.findings[0]?.message).toMatch(
      /^Turning every joint from "rod 1" to "rod 8" by -?12\.9° about [XYZ] curls them out of their plane, by [\d.]+ % of the segment's length at "rod \d" \(limit 2 %\)\.$/,
    );
    expect((await findingsOf(rolled(4.5), 'axis.curl')).findings).toEqual([]);
  });

  it('stray as far in a chain that is mirrored as a whole, and a mirrored chain without them does not', async () => {
    const [plain, mirrored, sound] = await Promise.all(
      [rolled(4.5), rolled(4.5, true), rolled(0, true)].map(async (bytes) =>
        curledSegments(await factsOf(bytes)),
      ),
    );
    for (const letter of LETTERS) {
      for (const degrees of [-120, 12, 180]) {
        const [one = -1, other = -2, none = -1] = [plain, mirrored, sound].map((list) => {
          const [segment] = list ?? [];
          return segment && curlChain(segment.chain, letter, degrees).drift;
        });
        expect(Math.abs(one - other)).toBeLessThan(10 * ROUNDING);
        expect(none).toBeGreaterThanOrEqual(0);
        expect(none).toBeLessThan(10 * ROUNDING);
      }
    }
  });
});
