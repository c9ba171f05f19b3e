import type { Level } from '../kit/finding.js';
import { placeJoints } from '../report/places.js';
import { evidencePieces, labelPieces } from './evidence.js';
import { bonesNear, dotsNear, FINDING_DOT, nearJoints } from './finding-bones.js';
import { bestView, subjectOf } from './finding-view.js';
import type { Numbered } from './joint-findings.js';
import { boxAbout, boxesAround, dotted, Placement } from './placement.js';
import type { RigLayout, ViewCell } from './rig-layout.js';
import { drawing, element, oneDecimal, textElement } from './svg.js';
import { BOLD, fitText, shortName, textWidth } from './text-size.js';
import { drawTripod } from './tripod.js';
import { boundsOf, centreOf, fitFactor, type Point, type Projection, project } from './view.js';
import { EDGE } from './view-picture.js';

const WIDTH = 340;
const HEIGHT = 230;
/** Room around what must be seen, for tripod, arrows and labels. */
const MARGIN = 62;

/** How much larger than on a sheet, at least and at most. */
const ZOOM = { least: 0.2, most: 4.5 } as const;

const TRIPOD = { length: 34, letter: 12 };
const NAME = 12;
/** A longer name would find room nowhere. Picture units. */
const NAME_WIDTH = 130;
const TITLE = 11;

/** Rings around the joint that a finding is told at, and around others that it lists. */
const [RING, LISTED_RING] = [FINDING_DOT + 3.5, FINDING_DOT + 2];

/**
 * One finding from near: the joint, the bones and the skin about it, its axes, and what was measured.
 * Null for a finding without a place.
 *
 * @param symbolOf Id of the symbol that holds a view's silhouette; null where it shows none.
 */
export function drawFinding(
  { number, finding }: Numbered,
  { shape, cells }: RigLayout,
  symbolOf: (cell: ViewCell) => string | null,
): string | null {
  const subject = subjectOf(shape, finding);
  if (subject === null) return null;
  const view = bestView(subject);
  const cell = cells.find(({ projection }) => projection.view.name === view.name);
  if (cell === undefined) return null;
  const centre = centreOf(boundsOf(subject.points));
  const about = { ...cell.projection, centre };
  const zoom = zoomFor(subject.points.map((point) => project(about, point)));
  const projection: Projection = { view, centre, scale: cell.projection.scale * zoom };
  const middle: Point = [WIDTH / 2, HEIGHT / 2];
  const placeOf = (joint: number): Point | null => {
    const place = shape.joints[joint]?.place ?? null;
    if (place === null) return null;
    const [x, y] = project(projection, place);
    return [middle[0] + x, middle[1] + y];
  };
  const placement = new Placement({ x: 4, y: 4, width: WIDTH - 8, height: HEIGHT - 8 });
  const title = { x: 6, y: 5, width: textWidth(view.title, TITLE), height: TITLE + 4 };
  placement.take(title);
  const joints = shape.joints.map((_, joint) => placeOf(joint));
  const near = nearJoints(joints, [WIDTH, HEIGHT]);
  for (const joint of near)
    placement.take(boxAbout(...(joints[joint] ?? middle), 2 * FINDING_DOT, 2 * FINDING_DOT));
  const { name = '', axes = null } = shape.joints[subject.joint ?? -1] ?? {};
  const at = subject.joint === null ? null : placeOf(subject.joint);
  const pieces = evidencePieces(subject.evidence, projection, middle);
  for (const { trace } of pieces)
    for (const point of trace) placement.take(boxAbout(...point, 4, 4));
  // Three arrows and more are the axes themselves, with their letters.
  const tripod =
    at === null || axes === null || subject.arrows.length >= 3
      ? null
      : drawTripod(axes, at, projection, TRIPOD, placement);
  if (at !== null) {
    const axisLines = (tripod?.ends ?? []).map((end) => [at, end]);
    const bones = shape.joints.flatMap(({ parent }, joint) => {
      const end =
        joint === subject.joint ? joints[parent] : parent === subject.joint ? joints[joint] : null;
      return end == null ? [] : [[at, end]];
    });
    for (const line of [...axisLines, ...bones])
      for (const point of dotted(line))
        if (isInside(point)) placement.take(boxAbout(...point, 3, 3));
  }
  const others = placeJoints(finding).flatMap((joint) => {
    const point = joint === subject.joint ? null : placeOf(joint);
    return point === null || !isInside(point) ? [] : [point];
  });
  const words = labelPieces(pieces, placement);
  const named = at === null ? '' : jointName(name, at, placement);
  const parts = [
    silhouette(symbolOf(cell), project(cell.projection, centre), zoom),
    bonesNear(shape.joints, joints, near, [WIDTH, HEIGHT]),
    ...(tripod === null ? [] : [tripod.svg]),
    ...pieces.map(({ svg }) => svg),
    words,
    dotsNear(shape.joints, joints, near),
    ...others.map((point) => ring(point, finding.level, LISTED_RING)),
    at === null ? '' : ring(at, finding.level, RING),
    named,
    textElement(title.x, title.y + TITLE, 'drawing-title drawing-label', view.title, {
      'font-size': TITLE,
    }),
  ];
  const where = finding.place.kind === 'asset' ? '' : ` at ${shortName(finding.place.name)}`;
  const label = `Finding ${number}, ${finding.rule}${where}. ${view.title}.`;
  return drawing('finding', label, [0, 0, WIDTH, HEIGHT], ...parts);
}

/** So much larger that all points fit. */
function zoomFor(points: readonly Point[]): number {
  const across = points.reduce((most, [x]) => Math.max(most, Math.abs(x)), 0);
  const down = points.reduce((most, [, y]) => Math.max(most, Math.abs(y)), 0);
  const fit = fitFactor([WIDTH / 2 - MARGIN, HEIGHT / 2 - MARGIN], [across, down]);
  return Math.max(ZOOM.least, Math.min(ZOOM.most, fit));
}

function silhouette(id: string | null, [cx, cy]: Point, zoom: number): string {
  if (id === null) return '';
  const [x, y] = [WIDTH / 2 - cx * zoom, HEIGHT / 2 - cy * zoom];
  return element('use', {
    href: `#${id}`,
    'stroke-width': (EDGE / zoom).toPrecision(3),
    transform: `translate(${oneDecimal(x)} ${oneDecimal(y)}) scale(${zoom.toPrecision(5)})`,
  });
}

function isInside([x, y]: Point): boolean {
  return x >= 0 && y >= 0 && x <= WIDTH && y <= HEIGHT;
}

function ring([cx, cy]: Point, level: Level, r: number): string {
  return element('circle', { class: `drawing-ring drawing-${level}`, cx, cy, r });
}

/** The joint's name at the first free place around it, the farther the worse. */
function jointName(name: string, at: Point, placement: Placement): string {
  const text = fitText(shortName(name), NAME * BOLD, NAME_WIDTH);
  const size = [textWidth(text, NAME) * BOLD, NAME + 4] as const;
  const box = placement.takeFirst(
    boxesAround(at, size, [12, 22, 34, 48, 64, 82], [1, -1, 3, -3, 0, 4, 2, -2]),
  );
  return box === null ? '' : textElement(box.x, box.y + NAME, 'drawing-label drawing-strong', text);
}
