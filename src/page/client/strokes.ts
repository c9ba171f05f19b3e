import type { Sight, Spot } from './sight.js';
import type { Theme } from './theme.js';

/** What the flat canvas is drawn with. */
export interface Pen {
  readonly context: CanvasRenderingContext2D;
  readonly theme: Theme;
  readonly sight: Sight;
}

/** Strokes a path at an opacity of its own. */
export function stroke(
  { context }: Pen,
  path: Path2D,
  colour: string,
  width: number,
  opacity = 1,
): void {
  context.globalAlpha = opacity;
  context.strokeStyle = colour;
  context.lineWidth = width;
  context.stroke(path);
  context.globalAlpha = 1;
}

export function circle({ x, y }: Spot, radius: number): Path2D {
  const path = new Path2D();
  path.arc(x, y, radius, 0, 2 * Math.PI);
  return path;
}

/** A line through spots, broken where one is missing. */
export function polyline(spots: readonly (Spot | null)[]): Path2D {
  const path = new Path2D();
  spots.forEach((spot, i) => {
    if (spot === null) return;
    if (spots[i - 1]) path.lineTo(spot.x, spot.y);
    else path.moveTo(spot.x, spot.y);
  });
  return path;
}

/** Whether a spot is so far off the canvas that nothing of it shows. */
export function isOutside({ x, y }: Spot, { width, height }: Sight): boolean {
  return x < -20 || y < -20 || x > width + 20 || y > height + 20;
}
