import { fitFactor, type Point } from './view.js';

/** The frame of the picture of one finding, at its highest. Picture units. */
export const [WIDTH, HEIGHT] = [340, 230];
export const MIDDLE: Point = [WIDTH / 2, HEIGHT / 2];
/** Room around what must be seen, for tripod, arrows and labels. */
const MARGIN = 62;
/** Height of the strip above it that says where it looks from: there it lies on nothing. */
export const STRIP = 20;
/** Below what is drawn; and the least height of a picture. */
const [BELOW, LEAST_HEIGHT] = [8, 120];
/** How much larger than on a sheet, at least and at most. */
const ZOOM = { least: 0.2, most: 4.5 } as const;
/** So much larger that all points fit. */
export function zoomFor(points: readonly Point[]): number {
  const across = points.reduce((most, [x]) => Math.max(most, Math.abs(x)), 0);
  const down = points.reduce((most, [, y]) => Math.max(most, Math.abs(y)), 0);
  const room = [MIDDLE[0] - MARGIN, MIDDLE[1] - MARGIN] as const;
  return Math.max(ZOOM.least, Math.min(ZOOM.most, fitFactor(room, [across, down], ZOOM.most)));
}

/** The height that holds what is drawn: what is left empty below is cut off. */
export function heightOf(bottoms: readonly number[]): number {
  return Math.ceil(Math.min(HEIGHT, Math.max(LEAST_HEIGHT, ...bottoms.map((end) => end + BELOW))));
}

/** Whether some of a line may lie in the picture. */
export function reachesIn([[x1, y1], [x2, y2]]: readonly [Point, Point]): boolean {
  return (
    Math.min(x1, x2) < WIDTH &&
    Math.max(x1, x2) > 0 &&
    Math.min(y1, y2) < HEIGHT &&
    Math.max(y1, y2) > 0
  );
}

export function isInside([x, y]: Point): boolean {
  return x >= 0 && y >= 0 && x <= WIDTH && y <= HEIGHT;
}
