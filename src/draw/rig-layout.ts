import { boxAbout } from './placement.js';
import type { RigShape } from './rig-shape.js';
import type { RigScene } from './scene.js';
import { makeSilhouette, type Silhouette } from './silhouette.js';
import { centreOf, fitFactor, type Point, shownSize, VIEWS, type View } from './view.js';

/** Width that drawings are laid out in, without the margins of a page. Picture units. */
export const INNER_WIDTH = 1136;
/** Free room around what a view shows, for badges and the title. Picture units. */
const MARGIN = 44;
const GAP = 16;
/** Height of what is shown at most, and of a view at least. Picture units. */
const MOST_HEIGHT = 440;
const LEAST_HEIGHT = 200;

export type RigLayout = ReturnType<typeof layoutRig>;

/** One view of a rig in its place in a row. */
export type ViewCell = RigLayout['cells'][number];

/** What a row of views shows, and how wide it is. */
interface Row {
  readonly views: readonly View[];
  readonly width: number;
}

const WHOLE_ROW: Row = { views: VIEWS, width: INNER_WIDTH };

/** Views at one scale: their widths side by side fit the row, and the highest its height. */
export function layoutRig(shape: RigShape, { views, width: across } = WHOLE_ROW) {
  const { scene, bounds, mesh } = shape;
  const room = across - (views.length - 1) * GAP - 2 * MARGIN * views.length;
  const shown = views.map((view) => shownSize(bounds, view));
  const scale = fitFactor([room, MOST_HEIGHT], sideBySide(shown));
  const sizes = shown.map(([width, height]): Point => [width * scale, height * scale]);
  const [used, highest] = sideBySide(sizes);
  // What a narrow rig leaves over is shared out evenly.
  const spare = (room - used) / views.length + 2 * MARGIN;
  const height = Math.max(LEAST_HEIGHT, highest + 2 * MARGIN);
  const centre = centreOf(bounds);
  const known = silhouettes.get(scene) ?? new Map<string, Silhouette>();
  let x = 0;
  const cells = views.map((view, index) => {
    const size = sizes[index] ?? [0, 0];
    const width = size[0] + spare;
    const projection = { view, centre, scale };
    const key = [view.name, scale, ...centre].join();
    const silhouette = known.get(key) ?? makeSilhouette(mesh, projection, size);
    known.set(key, silhouette);
    const left = x;
    x += width + GAP;
    return {
      projection,
      silhouette,
      /** Where the middle of the rig is in the row. */
      at: [left + width / 2, height / 2] as const,
      /** What the view may use, about that middle. */
      bounds: boxAbout(0, 0, width, height),
      /** The same of a view on its own, with no more room about it than its marks need. */
      tight: boxAbout(0, 0, size[0] + 2 * MARGIN, size[1] + 2 * MARGIN),
    };
  });
  silhouettes.set(scene, known);
  return { shape, cells, height };
}

/** By view and its scale: half the time of a drawing goes to them, and a sheet beside a page shows the same. */
const silhouettes = new WeakMap<RigScene, Map<string, Silhouette>>();

/** The sum of the widths, and the largest height. */
function sideBySide(sizes: readonly Point[]): Point {
  const highest = sizes.reduce((most, [, height]) => Math.max(most, height), 0);
  return [sizes.reduce((sum, [width]) => sum + width, 0), highest];
}
