import { type Box, Placement } from '../../draw/placement.js';
import type { Spot } from './sight.js';
import type { Pen } from './strokes.js';

export interface LabelLooks {
  readonly strong?: boolean;
  readonly colour?: string;
  /** Whether it is written over others rather than left out. */
  readonly always: boolean;
}

/** Room on the canvas for words that must not lie on each other. */
export interface Room {
  take(box: Box): void;
  /** Writes beside a spot, at least `away` off it, where there is room. */
  label(words: string, spot: Spot, away: number, looks: LabelLooks): void;
}

const LONGEST = 40;
const PAD = 3;

export function makeRoom({ context, theme, sight: { width, height } }: Pen): Room {
  const room = new Placement({ x: 0, y: 0, width, height });
  return {
    take: (box) => room.take(box),
    label(words, spot, away, { strong = false, colour = theme.ink, always }) {
      const size = strong ? 13 : 11;
      context.font = `600 ${size}px system-ui, sans-serif`;
      context.textAlign = 'left';
      context.textBaseline = 'middle';
      const wide = context.measureText(words).width + 2 * PAD;
      const high = size + 2 * PAD;
      // Only what must be written goes far off its spot.
      const boxes = (always ? [1, 2, 4] : [1]).flatMap((times) =>
        placesAround(spot, times * away, wide, high),
      );
      const free = boxes.find((one) => room.isFree(one));
      const box = free ?? (always ? within(boxes[0], width, height) : undefined);
      if (box === undefined) return;
      room.take(box);
      context.globalAlpha = 0.85;
      context.fillStyle = theme.paper;
      context.beginPath();
      context.roundRect(box.x, box.y, wide, high, 3);
      context.fill();
      context.globalAlpha = 1;
      context.fillStyle = colour;
      context.fillText(words, box.x + PAD, box.y + high / 2 + 0.5);
    },
  };
}

/** A name as a picture has room for it. */
export function shortened(words: string): string {
  return words.length > LONGEST ? `${words.slice(0, LONGEST - 3)}...` : words;
}

/** Right, left, above and below, then between these. */
function placesAround({ x, y }: Spot, away: number, wide: number, high: number): Box[] {
  const at = (left: number, top: number): Box => ({ x: left, y: top, width: wide, height: high });
  const [right, left] = [x + away, x - away - wide];
  const [above, below] = [y - away - high, y + away];
  const [middleX, middleY] = [x - wide / 2, y - high / 2];
  const near = 0.7 * away;
  return [
    at(right, middleY),
    at(left, middleY),
    at(middleX, above),
    at(middleX, below),
    at(x + near, y - near - high),
    at(x + near, y + near),
    at(x - near - wide, y - near - high),
    at(x - near - wide, y + near),
  ];
}

function within(box: Box | undefined, width: number, height: number): Box | undefined {
  if (box === undefined) return undefined;
  const x = Math.max(0, Math.min(box.x, width - box.width));
  const y = Math.max(0, Math.min(box.y, height - box.height));
  return { ...box, x, y };
}
