import { type Matrix4, Vector3 } from 'three';
import { type Box, boxAbout } from '../../draw/placement.js';
import { type Pen, polyline, stroke } from './strokes.js';

/** Distance between the boxes that cover a line. CSS pixels. */
const STEP = 6;
/** Tripods of this length have thicker lines and larger letters. CSS pixels. */
const STRONG = 40;
const AXES = ['x', 'y', 'z'] as const;

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
  const axes = AXES.flatMap((axis, i) => {
    const along = new Vector3().setFromMatrixColumn(world, i);
    // A joint scaled to nothing has no axes.
    if (!(along.length() > 0)) return [];
    const tip = from.clone().addScaledVector(along.normalize(), pixels * unit);
    const end = sight.spot(tip);
    return end === null ? [] : [{ axis, end, depth: sight.pixel(tip) }];
  }).sort((a, b) => b.depth - a.depth);
  const strong = pixels >= STRONG;
  const boxes: Box[] = [];
  context.font = `600 ${strong ? 13 : 11}px system-ui, sans-serif`;
  context.textAlign = 'center';
  context.textBaseline = 'middle';
  for (const { axis, end } of axes) {
    const colour = theme[`axis-${axis}` as const];
    const line = polyline([start, end]);
    stroke(pen, line, theme.paper, strong ? 5 : 3, 0.75);
    stroke(pen, line, colour, strong ? 2.5 : 1.5);
    const [dx, dy] = [end.x - start.x, end.y - start.y];
    const long = Math.hypot(dx, dy);
    for (let at = 0; at < long; at += STEP)
      boxes.push(boxAbout(start.x + (at / long) * dx, start.y + (at / long) * dy, STEP, STEP));
    if (!lettered) continue;
    // An axis that points at the eye has its letter beside it, not on the dot.
    const [offX, offY] = long > 6 ? [(9 * dx) / long, (9 * dy) / long] : [9.8, 9.8];
    const [x, y] = [end.x + offX, end.y + offY];
    const letter = axis.toUpperCase();
    context.lineWidth = 3;
    context.strokeStyle = theme.paper;
    context.strokeText(letter, x, y);
    context.fillStyle = colour;
    context.fillText(letter, x, y);
    boxes.push(boxAbout(x, y, 14, 16));
  }
  return boxes;
}
