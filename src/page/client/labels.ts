import { type Box, Placement } from '../../draw/placement.js';
import type { Spot } from './sight.js';
import type { Pen } from './strokes.js';

const LONGEST = 40;
const PAD = 3;

/** Room on the canvas for words that must not lie on each other. */
export type Room = ReturnType<typeof makeRoom>;

export function makeRoom({ context, theme, sight: { width, height } }: Pen) {
  const room = new Placement({ x: 0, y: 0, width, height });
  return {
    take: (box: Box) => room.take(box),
    /**
     * Writes beside a spot, at least `away` off it, where there is room. What has no colour is strong and
     * written over others rather than left out. Returns where it stands; null where it was left out.
     */
    label(words: string, spot: Spot, away: number, colour: string | null): Box | null {
      const strong = colour === null;
      const size = strong ? 13 : 11;
      context.font = `600 ${size}px system-ui, sans-serif`;
      context.textAlign = 'left';
      context.textBaseline = 'middle';
      const wide = context.measureText(words).width + 2 * PAD;
      const high = size + 2 * PAD;
      // Only what must be written goes far off its spot.
      const boxes = (strong ? [1, 2, 4] : [1]).flatMap((times) =>
        placesAround(spot, times * away, wide, high),
      );
      const free = boxes.find((box) => room.isFree(box));
      const box = free ?? (strong ? within(boxes[0], width, height) : undefined);
      if (box === undefined) return null;
      room.take(box);
      context.globalAlpha = 0.85;
      context.fillStyle = theme.paper;
      context.beginPath();
      context.roundRect(box.x, box.y, wide, high, 3);
      context.fill();
      context.globalAlpha = 1;
      context.fillStyle = colour ?? theme.ink;
      context.fillText(words, box.x + PAD, box.y + high / 2 + 0.5);
      return box;
    },
  };
}

export function shortened(words: string): string {
  return words.length > LONGEST ? `${words.slice(0, LONGEST - 3)}...` : words;
}

/** Right, left, above and below, then between these. */
function placesAround({ x, y }: Spot, away: number, width: number, height: number): Box[] {
  const [middleX, middleY] = [x - width / 2, y - height / 2];
  const near = 0.7 * away;
  const corners = [
    [x + away, middleY],
    [x - away - width, middleY],
    [middleX, y - away - height],
    [middleX, y + away],
    [x + near, y - near - height],
    [x + near, y + near],
    [x - near - width, y - near - height],
    [x - near - width, y + near],
  ] as const;
  return corners.map(([left, top]) => ({ x: left, y: top, width, height }));
}

function within(box: Box | undefined, width: number, height: number): Box | undefined {
  if (box === undefined) return undefined;
  const x = Math.max(0, Math.min(box.x, width - box.width));
  const y = Math.max(0, Math.min(box.y, height - box.height));
  return { ...box, x, y };
}
