import { type Box, boxAbout } from './placement.js';
import type { RigShape } from './rig-shape.js';
import { makeSilhouette, type Silhouette } from './silhouette.js';
import { centreOf, commonScale, type Point, type Projection, shownSize, VIEWS } from './view.js';

/** Width that drawings are laid out in, without the margins of a page. Picture units. */
export const INNER_WIDTH = 1136;

/** Free room around what a view shows, for badges and the title. Picture units. */
const MARGIN = 44;
const GAP = 16;

/** Height of what is shown at most, and of a view at least. Picture units. */
const MOST_HEIGHT = 440;
const LEAST_HEIGHT = 200;

/** One view of a rig in its place in a row. */
export interface ViewCell {
  readonly projection: Projection;
  readonly silhouette: Silhouette;
  /** Where the middle of the rig stands in the row. */
  readonly at: Point;
  /** What the view may use, about that middle. */
  readonly bounds: Box;
}

export interface RigLayout {
  readonly shape: RigShape;
  readonly cells: readonly ViewCell[];
  readonly height: number;
}

/** Three views in a row at one scale. */
export function layoutRig(shape: RigShape): RigLayout {
  const { bounds, mesh } = shape;
  const room = INNER_WIDTH - (VIEWS.length - 1) * GAP - 2 * MARGIN * VIEWS.length;
  const scale = commonScale(bounds, room, MOST_HEIGHT);
  const sizes = VIEWS.map((view): Point => {
    const [width, height] = shownSize(bounds, view);
    return [width * scale, height * scale];
  });
  const used = sizes.reduce((sum, [width]) => sum + width, 0);
  // What a narrow rig leaves over is shared out evenly.
  const spare = (room - used) / VIEWS.length + 2 * MARGIN;
  const highest = sizes.reduce((most, [, height]) => Math.max(most, height), 0);
  const height = Math.max(LEAST_HEIGHT, highest + 2 * MARGIN);
  const centre = centreOf(bounds);
  let x = 0;
  const cells = VIEWS.map((view, at): ViewCell => {
    const size = sizes[at] ?? [0, 0];
    const width = size[0] + spare;
    const projection = { view, centre, scale };
    const cell = {
      projection,
      silhouette: makeSilhouette(mesh, projection, size),
      at: [x + width / 2, height / 2] as const,
      bounds: boxAbout(0, 0, width, height),
    };
    x += width + GAP;
    return cell;
  });
  return { shape, cells, height };
}
