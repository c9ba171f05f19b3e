import type { Vector3 } from 'three';
import { type Pen, stroke } from './strokes.js';

const [WIDTH, HALO] = [2.2, 4];
const DASH = [5, 4];
/** Half the width of the square at a joint. CSS pixels. */
const HALF = 2.5;

/** The approved rig: dashed bones, and squares for its joints. `places` are in the world of the stage. */
export function drawApproved(
  pen: Pen,
  parents: readonly number[],
  places: readonly Vector3[],
): void {
  const { context, sight, theme } = pen;
  const spots = places.map((place) => sight.spot(place));
  const [bones, joints] = [new Path2D(), new Path2D()];
  spots.forEach((to, joint) => {
    const from = spots[parents[joint] ?? -1];
    if (to) joints.rect(to.x - HALF, to.y - HALF, 2 * HALF, 2 * HALF);
    if (!from || !to) return;
    bones.moveTo(from.x, from.y);
    bones.lineTo(to.x, to.y);
  });
  stroke(pen, bones, theme.paper, HALO, 0.6);
  context.setLineDash(DASH);
  // With round ends the gaps of such short dashes would close.
  context.lineCap = 'butt';
  stroke(pen, bones, theme.approved, WIDTH);
  context.lineCap = 'round';
  context.setLineDash([]);
  stroke(pen, joints, theme.approved, 1.3);
}
