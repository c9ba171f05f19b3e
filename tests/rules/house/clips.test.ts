import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { rules } from '../../../rules/index.js';
import { worstKey } from '../../../src/measure/pose/key-frames.js';
import { parseStandard } from '../../../src/standard/read-standard.js';
import { findingsOf } from '../../support/findings-of.js';

const check = (rule: string, clips: object, change: (heron: Puppet) => void = () => undefined) => {
  const heron = raisePuppet('heron');
  change(heron);
  const text = JSON.stringify({ contract: { clips } });
  const { settings } = parseStandard(text, 'house.json', rules);
  return findingsOf(mainFile(buildPuppet(heron)), rule, settings);
};

const messages = async (...of: Parameters<typeof check>): Promise<string[]> =>
  (await check(...of)).findings.map(({ message }) => message);

/** Clips with the keys of the wading one at other times. */
const withClips =
  (...clips: readonly [name: string, time: (seconds: number) => number][]) =>
  (heron: Puppet): void => {
    const channels = heron.clip('wade').channels;
    const made = clips.map(([name, time]) => ({
      name,
      channels: channels.map((channel) => ({ ...channel, times: channel.times.map(time) })),
    }));
    heron.clips.splice(0, heron.clips.length, ...made);
  };

const asIs = (seconds: number): number => seconds;

describe('clips of a contract', () => {
  const three = withClips(['wade', asIs], ['wade_fast', asIs], ['test', asIs]);

  test('that are missing are one finding', async () => {
    const required = ['wade', 'wade_*', 'feed', 'sleep_*'];
    expect(await messages('house.clip-required', { required }, three)).toEqual([
      '2 of 4 clips that the standard asks for are missing (limit 0): "feed", "sleep_*".',
    ]);
  });

  test('with other names are one finding', async () => {
    const names = ['wade', 'wade_*'];
    expect(await messages('house.clip-names', { names }, three)).toEqual([
      '1 of 3 clips has a name that does not fit "wade", "wade_*" (limit 0): "test".',
    ]);
  });

  test('above the largest number are told, and as many as it are not', async () => {
    expect(await messages('house.clips', { most: 2 }, three)).toEqual([
      'The file has 3 clips, more than the standard allows (limit 2).',
    ]);
    expect(await messages('house.clips', { most: 3 }, three)).toEqual([]);
  });
});

describe('the rate of clips', () => {
  test('that were made at another one is told with theirs', async () => {
    const change = withClips(
      ['wade', asIs],
      ['stride', (seconds) => (seconds * 10) / 24],
      ['dash', (seconds) => (seconds * 5) / 24],
    );
    const { findings } = await check('house.clip-rate', { rate: 30 }, change);
    expect(findings.map(({ message, remedy, counts }) => [message, remedy, counts?.short])).toEqual(
      [
        [
          expect.stringMatching(
            /^2 of 3 clips have keys between frames at 30 frames a second: "(stride|dash)", "(stride|dash)"; the worst is a key of ".+" at [\d.]+ s, \d[\d.]* % of a frame from the nearest one \(limit 5 %\)\.$/,
          ),
          'Export the clips at 30 frames a second; these keys lie on frames at 48.',
          2,
        ],
      ],
    );
    expect(await messages('house.clip-rate', { rate: 48 }, change)).toEqual([]);
  });

  test('is not held against times that lost digits when they were stored', async () => {
    // Each is frame / rate as a 32-bit float, hours into a clip.
    for (const rate of [23.976, 24, 29.97, 30, 60])
      for (const frame of [1, 2, 7, 1001, 100_003, 999_983]) {
        const times = Float32Array.of(frame / rate, Math.fround(frame - 1) / Math.fround(rate));
        expect(worstKey(clipOf(times), rate)?.percent).toBe(0);
      }
  });

  test('finds a key that is off by so much of a frame as it is', () => {
    const off = worstKey(clipOf(Float32Array.of(0, 1 / 30, 2.25 / 30, 3.1 / 30)), 30);
    expect(off?.percent).toBeCloseTo(25, 3);
    expect(off?.seconds).toBeCloseTo(0.075, 6);
  });
});

function clipOf(times: Float32Array) {
  const values = new Float32Array(4 * times.length);
  const channel = { node: 0, path: 'rotation', interpolation: 'LINEAR', size: 4 } as const;
  return { index: 0, name: 'wade', channels: [{ ...channel, times, values }], keyed: new Map() };
}
