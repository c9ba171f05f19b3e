import { significant } from '../../src/kit/figures.js';
import { judged, notApplicable } from '../../src/kit/finding.js';
import { assetRule } from '../../src/kit/rule.js';
import { type OffFrame, worstKey } from '../../src/measure/pose/key-frames.js';
import type { Clip } from '../../src/rig/types.js';
import { against, limit } from '../parts.js';
import { clipsCounted, quoted } from './texts.js';

/** Rates that clips are made at (common practice). Frames a second. */
const RATES = [24, 25, 30, 48, 50, 60, 120];

/** Keys between frames are moments that nobody who works by frames ever sees. */
export const houseClipRate = assetRule({
  id: 'house.clip-rate',
  level: 'warning',
  title: 'keys of clips that do not lie on frames of the rate of the standard',
  why: 'A clip that was made at another rate, or stretched, has keys between frames. An editor that works by frames moves them, and contacts and loops no longer fit.',
  formula:
    'Distance of each key of each clip of a file that has a rig from the nearest multiple of one frame, less what a time loses when it is stored.',
  remedy: 'Export clips at the rate of the standard, with keys on whole frames.',
  source: 'common practice; times are stored as 32-bit floats (glTF 2.0, 3.11 Animations)',
  limits: { off: limit(5, '% of frame', 'distance of a key from the nearest frame') },
  isAsked: ({ contract }) => contract?.clips?.rate !== undefined,
  check({ clips, rigs }, limits, _approved, { contract }) {
    const rate = contract?.clips?.rate;
    if (rate === undefined) return notApplicable('the standard has no rate of clips');
    if (rigs.length === 0) return notApplicable('the file has no rig');
    const off = clips.flatMap((clip) => {
      const key = worstKey(clip, rate);
      return key !== null && key.percent > limits.off ? [{ clip, key }] : [];
    });
    const looked = clips.length;
    const [first] = off;
    if (first === undefined) return judged('clips', looked, []);
    const worst = off.reduce((a, b) => (b.key.percent > a.key.percent * ALIKE ? b : a), first);
    return judged(
      'clips',
      looked,
      [
        {
          level: 'warning',
          place: { kind: 'asset' },
          ...against(worst.key.percent, limits.off, '% of frame'),
          counts: { looked, short: off.length },
          details: {
            rate,
            looked,
            key: worst.key,
            names: [worst, ...off.filter((entry) => entry !== worst)].map(({ clip }) => clip.name),
            made: rateOf(
              off.map(({ clip }) => clip),
              limits.off,
            ),
          },
        },
      ],
      off.length,
    );
  },
  say({ measured, limit, details: { rate, looked, key, names, made } }) {
    const have = names.length === 1 ? 'has keys' : 'have keys';
    return {
      message: `${names.length} of ${clipsCounted(looked)} ${have} between frames at ${rate} frames a second: ${quoted(names)}; the worst is a key of ${quoted(names.slice(0, 1))} at ${significant(key.seconds)} s, ${significant(measured)} % of a frame from the nearest one (limit ${limit} %).`,
      remedy:
        made === null
          ? `Move the keys to whole frames, and export at ${rate} frames a second.`
          : `Export the clips at ${rate} frames a second; these keys lie on frames at ${made}.`,
    };
  },
});

/** Measures nearer than this are as good as alike: rounding must not choose. */
const ALIKE = 1 + 1e-3;

/** The lowest common rate at which all keys of some clips lie on frames; null for none. */
function rateOf(clips: readonly Clip[], most: number): number | null {
  const isOn = (key: OffFrame | null): boolean => key === null || key.percent <= most;
  return RATES.find((rate) => clips.every((clip) => isOn(worstKey(clip, rate)))) ?? null;
}
