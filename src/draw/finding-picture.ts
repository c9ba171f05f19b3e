import type { Level } from '../kit/finding.js';
import { placeJoints } from '../report/places.js';
import type { FindingReport } from '../report/report-types.js';
import type { Vec3 } from '../rig/vec3.js';
import { drawApproved } from './approved-bones.js';
import { drawBones, jointDot, type Places } from './bones.js';
import { curlPanels, PANEL_SIZE } from './curl-picture.js';
import { viewCurl } from './curl-view.js';
import { evidencePieces, labelPieces } from './evidence.js';
import {
  HEIGHT,
  heightOf,
  isInside,
  MIDDLE,
  reachesIn,
  STRIP,
  WIDTH,
  zoomFor,
} from './finding-frame.js';
import { bestView, subjectOf } from './finding-view.js';
import type { Numbered } from './joint-findings.js';
import { boxAbout, boxesAround, dotted, Placement } from './placement.js';
import type { RigLayout, ViewCell } from './rig-layout.js';
import type { JointShape, RigShape } from './rig-shape.js';
import { drawing, element, oneDecimal, textElement } from './svg.js';
import { BOLD, fitText, shortName, textWidth } from './text-size.js';
import { drawTripod } from './tripod.js';
import { boundsOf, centreOf, type Point, type Projection, project, type View } from './view.js';
import { EDGE } from './view-picture.js';

const TRIPOD = { length: 34, letter: 12 };
const NAME = 12;
/** A longer name would find room nowhere. Picture units. */
const NAME_WIDTH = 130;
const [TITLE, TITLE_LEFT] = [11, 6];
const TITLE_LOOK = { 'font-size': TITLE };
/** Radii: of a joint's dot, of the ring around a finding's joint, and around others that it lists. */
const DOT = 3;
const [RING, LISTED_RING] = [DOT + 3.5, DOT + 2];
/** Rules that compare a rig with an approved one. */
const FIT = 'fit.';
/** Joints and passing bones that are shown: more would hide each other. */
const [MOST_JOINTS, MOST_PASSING] = [80, 40];

/** Where a picture looks from and at, world space, and how large it shows a world unit. */
export interface Shot extends Projection {
  /** So much larger than the view of the whole rig. */
  readonly zoom: number;
}

/** The shot that shows a finding, from where it shows best by default. Null for a finding without a place. */
export function shotOf(
  finding: Numbered['finding'],
  { shape, cells }: Pick<RigLayout, 'shape' | 'cells'>,
  from?: View,
): Shot | null {
  const subject = subjectOf(shape, finding);
  if (subject === null) return null;
  const view = from ?? bestView(subject);
  const cell = cells.find(({ projection }) => projection.view.name === view.name);
  if (cell === undefined) return null;
  const centre = centreOf(boundsOf(subject.points));
  const zoom = zoomFor(subject.points.map((at) => project({ ...cell.projection, centre }, at)));
  return { view, centre, scale: cell.projection.scale * zoom, zoom };
}

/** What a picture shows otherwise than that of a finding in a report. */
export interface Otherwise {
  /** Looks there instead. */
  readonly shot?: Shot;
  /** What it is called, instead of its number and its rule. */
  readonly label?: string;
  /** There is no fault: its joint is ringed as a place alone. */
  readonly isMended?: boolean;
}

/**
 * One finding from near, a curl from where it leaves its place most: the joint, the bones and the skin about it, its axes, and what was measured.
 * Null for a finding without a place.
 *
 * @param symbolOf Id of the symbol that holds a view's silhouette; null where it shows none.
 */
export function drawFinding(
  { number, finding }: Numbered,
  layout: RigLayout,
  symbolOf: (cell: ViewCell) => string | null,
  otherwise: Otherwise = {},
): string | null {
  // A mended pair is looked at from where the fault was.
  const curled = otherwise.shot === undefined ? drawCurled(finding, number, layout.shape) : null;
  if (curled !== null) return curled;
  const { shape, cells } = layout;
  const subject = subjectOf(shape, finding);
  const shot = otherwise.shot ?? shotOf(finding, layout);
  if (subject === null || shot === null) return null;
  const { joint, arrows } = subject;
  const { view, centre, zoom } = shot;
  const cell = cells.find(({ projection }) => projection.view.name === view.name);
  if (cell === undefined) return null;
  const projection: Projection = shot;
  const level = otherwise.isMended === true ? 'sound' : finding.level;
  const seen = (place: Vec3 | null): Point | null => {
    if (place === null) return null;
    const [x, y] = project(projection, place);
    return [MIDDLE[0] + x, MIDDLE[1] + y];
  };
  const places = shape.joints.map(({ place }) => seen(place));
  const placement = new Placement({ x: 4, y: 4, width: WIDTH - 8, height: HEIGHT - 8 });
  const takeAll = (taken: readonly Point[], size: number): void => {
    for (const point of taken) placement.take(boxAbout(...point, size, size));
  };
  const near = nearJoints(places);
  const placeOfNear = (other: number): Point => places[other] ?? MIDDLE;
  takeAll(near.map(placeOfNear), 2 * DOT);
  const { name = '', axes = null } = shape.joints[joint ?? -1] ?? {};
  const here = places[joint ?? -1] ?? null;
  const pieces = evidencePieces(subject.evidence, projection, MIDDLE);
  for (const { trace } of pieces) takeAll(trace, 4);
  // Three arrows and more are the axes themselves, with their letters.
  const tripod =
    here === null || axes === null || arrows.length >= 3
      ? null
      : drawTripod(axes, here, projection, TRIPOD, placement);
  if (here !== null) {
    const bones = shape.joints.map(({ parent }, other) =>
      other === joint ? places[parent] : parent === joint ? places[other] : null,
    );
    for (const end of [...(tripod?.ends ?? []), ...bones])
      if (end) takeAll(dotted([here, end]).filter(isInside), 3);
  }
  const listed = placeJoints(finding).flatMap((other) => {
    const point = other === joint ? null : places[other];
    return point && isInside(point) ? [point] : [];
  });
  const labels = labelPieces(pieces, placement);
  const parts = [
    silhouette(symbolOf(cell), project(cell.projection, centre), zoom),
    // Beside other findings it would be one more line to ask about.
    shape.approved && finding.rule.startsWith(FIT)
      ? drawApproved(shape.approved, shape.approved.places.map(seen), reachesIn)
      : '',
    bonesNear(shape.joints, places, near),
    tripod?.svg ?? '',
    ...pieces.map(({ svg }) => svg),
    labels,
    ...near.map((other) =>
      jointDot(placeOfNear(other), shape.joints[other]?.movesSkin !== false, DOT),
    ),
    ...listed.map((point) => ring(point, level, LISTED_RING)),
    here === null ? '' : ring(here, level, RING),
    here === null ? '' : jointName(name, here, placement),
  ];
  const { min, max } = shape.bounds;
  const ends = [min, max].map((corner) => seen(corner)?.[1] ?? 0);
  const height = heightOf([placement.bottom, ...ends]);

  const where = finding.place.kind === 'asset' ? '' : ` at ${shortName(finding.place.name)}`;
  const label = otherwise.label ?? `Finding ${number}, ${finding.rule}${where}`;
  return drawing(
    'finding',
    `${label}. ${view.title}.`,
    [0, 0, WIDTH, STRIP + height],
    textElement(TITLE_LEFT, TITLE + 3, 'drawing-title', view.title, TITLE_LOOK),
    // A drawing of its own, so that nothing of it lies on the title.
    element('svg', { class: 'drawing-window', y: STRIP, width: WIDTH, height }, ...parts),
  );
}

/** The curl that a finding is about; from no side of the rig does it show as well. Null for other findings. */
function drawCurled(
  { rule, place }: FindingReport,
  number: number,
  { scene }: RigShape,
): string | null {
  if (rule !== 'axis.curl') return null;
  const chain = scene.chains.find(({ joints }) => joints[0] === place.joint);
  const view = chain && viewCurl(chain);
  if (!view) return null;
  const label = `Finding ${number}, ${rule} at ${shortName(place.name)}. Seen from where it leaves most.`;
  const { width, height } = PANEL_SIZE;
  return drawing('finding', label, [0, 0, width, height], curlPanels(view)[0]);
}

/** Joints within the picture, those nearest to its middle, in joint order. */
function nearJoints(places: Places): number[] {
  return places
    .flatMap((place, joint) => {
      if (place === null || !isInside(place)) return [];
      return [{ joint, gap: Math.hypot(place[0] - MIDDLE[0], place[1] - MIDDLE[1]) }];
    })
    .sort((a, b) => a.gap - b.gap || a.joint - b.joint)
    .slice(0, MOST_JOINTS)
    .map(({ joint }) => joint)
    .sort((a, b) => a - b);
}

/** Bones of the joints near, and some of those that pass through the picture. */
function bonesNear(joints: readonly JointShape[], places: Places, near: readonly number[]): string {
  const kept = new Set(near);
  let passing = 0;
  return drawBones(
    joints,
    places,
    (joint, parent, ends) =>
      reachesIn(ends) && (kept.has(joint) || kept.has(parent) || ++passing <= MOST_PASSING),
  );
}

function silhouette(id: string | null, [cx, cy]: Point, zoom: number): string {
  if (id === null) return '';
  const [x, y] = [oneDecimal(MIDDLE[0] - cx * zoom), oneDecimal(MIDDLE[1] - cy * zoom)];
  return element('use', {
    href: `#${id}`,
    'stroke-width': (EDGE / zoom).toPrecision(3),
    transform: `translate(${x} ${y}) scale(${zoom.toPrecision(5)})`,
  });
}

function ring([cx, cy]: Point, level: Level | 'sound', r: number): string {
  return element('circle', { class: `drawing-ring drawing-${level}`, cx, cy, r });
}

/** The joint's name at the first free place around it, the farther the worse. */
function jointName(name: string, joint: Point, placement: Placement): string {
  const text = fitText(shortName(name), NAME * BOLD, NAME_WIDTH);
  const size = [textWidth(text, NAME) * BOLD, NAME + 4] as const;
  const reaches = [12, 22, 34, 48, 64, 82];
  const box = placement.takeFirst(boxesAround(joint, size, reaches, [1, -1, 3, -3, 0, 4, 2, -2]));
  return box === null ? '' : textElement(box.x, box.y + NAME, 'drawing-label drawing-strong', text);
}
