import { dot, subtract, type Vec3 } from '../../rig/vec3.js';
import { drawBones, jointDot, type Places } from '../bones.js';
import { boxAbout, dotted, Placement } from '../placement.js';
import type { RigLayout, ViewCell } from '../rig-layout.js';
import type { RigShape } from '../rig-shape.js';
import { drawing, element, linePath, oneDecimal } from '../svg.js';
import { drawTripod } from '../tripod.js';
import {
  boundsOf,
  centreOf,
  fitFactor,
  type Point,
  type Projection,
  project,
  type View,
} from '../view.js';
import { EDGE } from '../view-picture.js';
import { type ChangedJoint, isMoved } from './rig-pair.js';

const [WIDTH, HEIGHT] = [230, 190];
const MIDDLE: Point = [WIDTH / 2, HEIGHT / 2];
const MARGIN = 34;
const TRIPOD = { length: 36, letter: 13 };
const DOT = 3;
/** Joints that are shown besides, and how far outside one may be so that its bone is. */
const [MOST_NEAR, BEYOND] = [24, 200];
/** How much larger than in a view of the whole rig, at least and at most. */
const ZOOM = { least: 0.5, most: 5 } as const;

type Side = 'before' | 'after';
type Layouts = readonly [before: RigLayout, after: RigLayout];

/**
 * One changed joint from near, before and after, from the same side and as large: its bones, its skin
 * and its axes. Null on a side where it is no joint, or is nowhere.
 *
 * @param symbolOf Id of the symbol that holds a view's silhouette; null where it shows none.
 */
export function drawFrames(
  joint: ChangedJoint,
  layouts: Layouts,
  symbolOf: (layout: RigLayout, cell: ViewCell) => string | null,
): readonly [before: string | null, after: string | null] {
  const [before, after] = layouts;
  const points = [pointsAbout(before.shape, joint.before), pointsAbout(after.shape, joint.after)];
  const cellAt = tellingCell(joint, layouts);
  const centre = centreOf(boundsOf(points.flat()));
  const zoom = zoomFor(layouts[0].cells[cellAt], centre, points.flat());
  const placeBefore = before.shape.joints[joint.before]?.place ?? null;
  const draw = (layout: RigLayout, side: Side): string | null => {
    const cell = layout.cells[cellAt];
    // Where it moved, the picture after shows from where.
    const from = side === 'after' && isMoved(joint) ? placeBefore : null;
    const shown = cell && drawSide(layout.shape, joint, side, { cell, centre, zoom, from });
    if (!cell || !shown) return null;
    const { view } = cell.projection;
    const label = `The axes of joint ${joint.number} ${side} the mend. ${view.title}.`;
    const body = bodyAt(symbolOf(layout, cell), project(cell.projection, centre), zoom);
    return drawing('finding', label, [0, 0, WIDTH, HEIGHT], body, ...shown);
  };
  return [draw(before, 'before'), draw(after, 'after')];
}

/** The joint and the ends of its bones. */
function pointsAbout({ joints }: RigShape, joint: number): Vec3[] {
  const { place = null, parent = -1 } = joints[joint] ?? {};
  if (place === null) return [];
  const near = joints.filter((other, index) => other.parent === joint || index === parent);
  return [place, ...near.flatMap((other) => (other.place === null ? [] : [other.place]))];
}

/** What a picture shows, how much larger than its view, and from where the joint moved. */
interface Shot {
  readonly cell: ViewCell;
  readonly centre: Vec3;
  readonly zoom: number;
  readonly from: Vec3 | null;
}

function drawSide(
  { joints }: RigShape,
  changed: ChangedJoint,
  side: Side,
  { cell, centre, zoom, from }: Shot,
): string[] | null {
  const projection: Projection = {
    view: cell.projection.view,
    centre,
    scale: cell.projection.scale * zoom,
  };
  const seen = (place: Vec3 | null): Point | null => {
    if (place === null) return null;
    const [x, y] = project(projection, place);
    return [MIDDLE[0] + x, MIDDLE[1] + y];
  };
  const places = joints.map(({ place }) => seen(place));
  const start = seen(from);
  const index = changed[side];
  const [here, axes] = [places[index] ?? null, joints[index]?.axes ?? null];
  if (here === null || axes === null) return null;
  const placement = new Placement({ x: 3, y: 3, width: WIDTH - 6, height: HEIGHT - 6 });
  const parent = joints[index]?.parent ?? -1;
  joints.forEach((joint, other) => {
    const end = places[other];
    if (end && (joint.parent === index || other === parent))
      for (const [x, y] of dotted([here, end]).filter((point) => isInside(point)))
        placement.take(boxAbout(x, y, 3, 3));
  });
  const tripod =
    drawTripod(axes, here, projection, TRIPOD, placement) ??
    // Where bones leave no room for all letters they are written over these.
    drawTripod(axes, here, projection, TRIPOD, new Placement(boxAbout(...here, WIDTH, HEIGHT)));
  const near = nearest(places, here);
  return [
    drawBones(joints, places, (joint, above) => near.has(joint) && near.has(above)),
    ...[...near].map((other) => {
      const place = other === index ? null : places[other];
      return place ? jointDot(place, joints[other]?.movesSkin !== false, DOT - 1) : '';
    }),
    start === null ? '' : movedFrom(start, here),
    tripod?.svg ?? '',
    element('circle', { class: 'drawing-ring drawing-note', cx: here[0], cy: here[1], r: DOT + 3 }),
    jointDot(here, joints[index]?.movesSkin !== false, DOT),
  ];
}

/** A dashed line from where a joint was, which is a hollow dot. */
function movedFrom(start: Point, here: Point): string {
  const line = element('path', { class: 'drawing-dashed', d: linePath([start, here]) });
  return line + jointDot(start, false, DOT);
}

/** The joints nearest to a point that are in the picture or just outside. */
function nearest(places: Places, [x, y]: Point): ReadonlySet<number> {
  const found = places.flatMap((place, joint) => {
    if (place === null || !isInside(place, BEYOND)) return [];
    return [{ joint, gap: Math.hypot(place[0] - x, place[1] - y) }];
  });
  return new Set(
    found
      .sort((a, b) => a.gap - b.gap || a.joint - b.joint)
      .slice(0, MOST_NEAR)
      .map(({ joint }) => joint),
  );
}

/** The silhouette of a whole view, larger and with what is looked at in the middle. */
function bodyAt(symbol: string | null, [x, y]: Point, zoom: number): string {
  if (symbol === null) return '';
  const shift = [MIDDLE[0] - zoom * x, MIDDLE[1] - zoom * y].map(oneDecimal).join(' ');
  const transform = `translate(${shift}) scale(${Math.round(1000 * zoom) / 1000})`;
  return element('use', { href: `#${symbol}`, transform, 'stroke-width': EDGE / zoom });
}

/** The view that shows most of the axes of both sides at their length, and most of the bones. */
function tellingCell(joint: ChangedJoint, [before, after]: Layouts): number {
  const axes = [
    ...(before.shape.joints[joint.before]?.axes ?? []),
    ...(after.shape.joints[joint.after]?.axes ?? []),
  ];
  const turns = axes.slice(0, 3).map((axis, at) => subtract(axes[3 + at] ?? axis, axis));
  const seen = ({ right, up }: View): number =>
    turns.reduce((sum, turn) => sum + Math.hypot(dot(turn, right), dot(turn, up)), 0);
  const views = before.cells.map(({ projection }) => seen(projection.view));
  return Math.max(0, views.indexOf(Math.max(...views)));
}

function zoomFor(cell: ViewCell | undefined, centre: Vec3, points: readonly Vec3[]): number {
  if (cell === undefined) return 1;
  const seen = points.map((point) => project({ ...cell.projection, centre }, point));
  const across = seen.reduce((most, [x]) => Math.max(most, Math.abs(x)), 0);
  const down = seen.reduce((most, [, y]) => Math.max(most, Math.abs(y)), 0);
  const room = [MIDDLE[0] - MARGIN, MIDDLE[1] - MARGIN] as const;
  return Math.max(ZOOM.least, Math.min(ZOOM.most, fitFactor(room, [across, down], ZOOM.most)));
}

function isInside([x, y]: Point, beyond = 0): boolean {
  return x >= -beyond && y >= -beyond && x <= WIDTH + beyond && y <= HEIGHT + beyond;
}
