import type { Spot } from './sight.js';
import type { Pen } from './strokes.js';

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

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
  const taken: Box[] = [];
  const isFree = (box: Box): boolean =>
    box.left >= 0 &&
    box.top >= 0 &&
    box.right <= width &&
    box.bottom <= height &&
    taken.every(
      (other) =>
        other.right <= box.left ||
        other.left >= box.right ||
        other.bottom <= box.top ||
        other.top >= box.bottom,
    );
  return {
    take: (box) => taken.push(box),
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
      const box = boxes.find(isFree) ?? (always ? within(boxes[0], width, height) : undefined);
      if (box === undefined) return;
      taken.push(box);
      context.globalAlpha = 0.85;
      context.fillStyle = theme.paper;
      context.beginPath();
      context.roundRect(box.left, box.top, wide, high, 3);
      context.fill();
      context.globalAlpha = 1;
      context.fillStyle = colour;
      context.fillText(words, box.left + PAD, (box.top + box.bottom) / 2 + 0.5);
    },
  };
}

/** A name as a picture has room for it. */
export function shortened(words: string): string {
  return words.length > LONGEST ? `${words.slice(0, LONGEST - 3)}...` : words;
}

export function around(x: number, y: number, wide: number, high: number): Box {
  return { left: x - wide, top: y - high, right: x + wide, bottom: y + high };
}

/** Right, left, above and below, then between these. */
function placesAround({ x, y }: Spot, away: number, wide: number, high: number): Box[] {
  const at = (left: number, top: number): Box => ({
    left,
    top,
    right: left + wide,
    bottom: top + high,
  });
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
  const [wide, high] = [box.right - box.left, box.bottom - box.top];
  const left = Math.max(0, Math.min(box.left, width - wide));
  const top = Math.max(0, Math.min(box.top, height - high));
  return { left, top, right: left + wide, bottom: top + high };
}
