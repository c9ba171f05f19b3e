import { drawing, element, textElement } from '../../draw/svg.js';
import { fitText, shortName } from '../../draw/text-size.js';
import { significant } from '../../kit/figures.js';
import { differentTimes } from '../../measure/pose/clip-sampling.js';
import type { Clip } from '../../rig/types.js';
import { type Drawn, type PairSource, SIDE_WORDS } from './pair-source.js';

const [WIDTH, TOP, LEFT, LETTER, NAMES] = [340, 14, 14, 12.5, 118];
const ROW = 40;
/** Frames that are shown where it is about them: more stand too close. */
const FRAMES = 8;

/** The clips of both files with their keys on a line of time; `rate` marks its frames. */
export function clipsPair({ atFault, mended }: PairSource, rate: number | null): Drawn | null {
  const sides = [atFault.model.clips, mended.model.clips] as const;
  const most = Math.max(sides[0].length, sides[1].length);
  if (most === 0) return null;
  const longest =
    rate === null ? Math.max(...sides.flat().map((clip) => lengthOf(clip))) : FRAMES / rate;
  const draw = (clips: readonly Clip[], others: readonly Clip[], side: 0 | 1): string => {
    const rows = clips.map((clip, at) => {
      const twin = others.find(({ name }) => name === clip.name);
      const differs = twin === undefined || timesOf(twin) !== timesOf(clip);
      return clipRow(clip, TOP + ROW * at, side, differs, longest, rate);
    });
    const label = `${SIDE_WORDS[side]}: the clips ${clips.map(({ name }) => name).join(', ')}.`;
    return drawing('clips', label, [0, 0, WIDTH, TOP + ROW * most + 18], ...rows);
  };
  return [draw(sides[0], sides[1], 0), draw(sides[1], sides[0], 1)];
}

function timesOf({ channels }: Clip): string {
  return differentTimes(channels).join();
}

function lengthOf({ channels }: Clip): number {
  return differentTimes(channels).at(-1) ?? 0;
}

function clipRow(
  clip: Clip,
  y: number,
  side: 0 | 1,
  differs: boolean,
  longest: number,
  rate: number | null,
): string {
  const [from, wide] = [LEFT + NAMES, WIDTH - LEFT - NAMES - LEFT];
  const x = (seconds: number): number => from + (longest > 0 ? (wide * seconds) / longest : 0);
  const mark = side === 0 ? 'drawing-error' : 'drawing-sound';
  const look = differs ? `drawing-strong ${mark}` : 'drawing-quiet';
  const length = lengthOf(clip);
  const frames =
    rate === null ? [] : Array.from({ length: FRAMES + 1 }, (_, frame) => x(frame / rate));
  const shown = Math.min(length, longest);
  return [
    textElement(LEFT, y + 18, look, fitText(shortName(clip.name), LETTER, NAMES - 10), {
      'font-size': LETTER,
    }),
    element('path', { class: 'drawing-bone', d: `M${from} ${y + 14}H${x(shown).toFixed(1)}` }),
    element('path', {
      class: 'drawing-dashed drawing-frames',
      d: frames.map((at) => `M${at.toFixed(1)} ${y + 6}v16`).join(''),
    }),
    ...differentTimes(clip.channels)
      .filter((time) => time <= longest)
      .map((time) =>
        element('circle', {
          class: differs ? `drawing-key ${mark}` : 'drawing-key',
          cx: x(time),
          cy: y + 14,
          r: 3.4,
        }),
      ),
    textElement(
      from,
      y + 36,
      'drawing-quiet',
      rate === null ? `${significant(length)} s` : `the first ${FRAMES} frames`,
      { 'font-size': 10.5 },
    ),
  ].join('');
}
