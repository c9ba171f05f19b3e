import type { Vector3 } from 'three';
import type { Spot } from './sight.js';
import { type Pen, polyline, stroke } from './strokes.js';

/** The chain at hand of one rig. */
export interface ShownChain {
  readonly rig: number;
  readonly joints: readonly number[];
  /** Where they would stand with the other frames, world of the stage; null when nothing is curled. */
  readonly compared: readonly Vector3[] | null;
}

const WIDTH = 2.6;
const HALO = 2;
const DASH = [6, 5];
const CROSS = 3;

/** The chain as it stands, solid, over the other, dashed: where the two part, both show. */
export function drawChain(
  pen: Pen,
  { joints, compared }: ShownChain,
  spots: readonly (Spot | null)[],
): void {
  const { theme, sight } = pen;
  if (compared !== null)
    drawCompared(
      pen,
      compared.map((point) => sight.spot(point)),
    );
  const own = polyline(joints.map((joint) => spots[joint] ?? null));
  stroke(pen, own, theme.paper, WIDTH + HALO, 0.7);
  stroke(pen, own, theme.accent, WIDTH, 0.9);
}

/** Dashes, with a cross at each joint. */
function drawCompared(pen: Pen, spots: readonly (Spot | null)[]): void {
  const { context, theme } = pen;
  const line = polyline(spots);
  const crosses = new Path2D();
  for (const spot of spots) {
    if (spot === null) continue;
    for (const way of [-1, 1]) {
      crosses.moveTo(spot.x - CROSS, spot.y - CROSS * way);
      crosses.lineTo(spot.x + CROSS, spot.y + CROSS * way);
    }
  }
  stroke(pen, line, theme.paper, 1.8 + HALO, 0.7);
  context.setLineDash(DASH);
  stroke(pen, line, theme.ink, 1.8);
  context.setLineDash([]);
  stroke(pen, crosses, theme.ink, 1.5);
}
