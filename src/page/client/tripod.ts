import { type Matrix4, Vector3 } from 'three';
import { type Box, boxAbout } from '../../draw/placement.js';
import { type Pen, stroke } from './strokes.js';

/** Apart of the boxes that stand for a line. CSS pixels. */
const STEP = 6;

/** Tripods of this length have thicker lines and larger letters. CSS pixels. */
const STRONG = 40;

const LETTERS = ['X', 'Y', 'Z'] as const;

/**
 * The three axes of a joint, each as many pixels long as asked when seen from the side, the farthest
 * first. Returns the boxes that its lines and letters take.
 */
export function drawTripod(pen: Pen, world: Matrix4, pixels: number, lettered: boolean): Box[] {
  const { context, theme, sight } = pen;
  const from = new Vector3().setFromMatrixPosition(world);
  const start = sight.spot(from);
  if (start === null) return [];
  const unit = sight.pixel(from);
  const axes = LETTERS.flatMap((letter, i) => {
    const along = new Vector3().setFromMatrixColumn(world, i);
    // A joint scaled to nothing has no axes.
    if (!(along.length() > 0)) return [];
    const tip = from.clone().addScaledVector(along.normalize(), pixels * unit);
    const end = sight.spot(tip);
    return end === null
      ? []
      : [{ letter, end, colour: theme.axes[i] ?? theme.ink, depth: sight.pixel(tip) }];
  }).sort((a, b) => b.depth - a.depth);
  const strong = pixels >= STRONG;
  const boxes: Box[] = [];
  context.font = `600 ${strong ? 13 : 11}px system-ui, sans-serif`;
  context.textAlign = 'center';
  context.textBaseline = 'middle';
  for (const { letter, end, colour } of axes) {
    const line = new Path2D();
    line.moveTo(start.x, start.y);
    line.lineTo(end.x, end.y);
    stroke(pen, line, theme.paper, strong ? 5 : 3, 0.75);
    stroke(pen, line, colour, strong ? 2.5 : 1.5);
    const long = Math.hypot(end.x - start.x, end.y - start.y);
    for (let at = 0; at < long; at += STEP) {
      const share = at / long;
      const x = start.x + share * (end.x - start.x);
      boxes.push(boxAbout(x, start.y + share * (end.y - start.y), STEP, STEP));
    }
    if (!lettered) continue;
    // An axis that points at the eye has its letter beside it, not on the dot.
    const [dx, dy] = long > 6 ? [(end.x - start.x) / long, (end.y - start.y) / long] : [0.7, 0.7];
    const off = long > 6 ? 9 : 14;
    const [x, y] = [end.x + off * dx, end.y + off * dy];
    context.lineWidth = 3;
    context.strokeStyle = theme.paper;
    context.strokeText(letter, x, y);
    context.fillStyle = colour;
    context.fillText(letter, x, y);
    boxes.push(boxAbout(x, y, 14, 16));
  }
  return boxes;
}
