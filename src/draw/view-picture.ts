import type { UnnumberedBadge } from '../report/asset-pictures.js';
import { groupBy } from '../rig/group-by.js';
import { drawApproved } from './approved-bones.js';
import { badgeRow, placeBadges } from './badges.js';
import { dotRadius, drawBones, jointDot } from './bones.js';
import type { JointFindings, Numbered } from './joint-findings.js';
import { type Box, boxAbout, Placement } from './placement.js';
import type { ViewCell } from './rig-layout.js';
import type { RigShape } from './rig-shape.js';
import type { Silhouette } from './silhouette.js';
import { element, textElement } from './svg.js';
import { textWidth } from './text-size.js';
import { drawTripod } from './tripod.js';
import { type Point, project } from './view.js';

const TITLE = 12;
const TRIPOD = { length: 17, letter: 9 };
/** Badges of a view: more of them hide what they mark. */
const MOST_BADGES = 40;
/** Dots of at most this radius are those of a crowd. Picture units. */
const LEAST_ROOMY = 1.2;
/** Tripods of joints without a finding need this much room of their own. Picture units. */
const TRIPOD_ROOM = 34;
/** Joints nearer to each other are seen as one. Picture units. */
const SAME_PLACE = 1.5;
/** Steps to the cells around one, and to itself. */
const AROUND: readonly Point[] = [-1, 0, 1].flatMap((right) =>
  [-1, 0, 1].map((down): Point => [right, down]),
);
/** Width of a silhouette's edge, set around the paths, so that a larger drawing can have the same. */
export const EDGE = 0.8;

/** What of a view is drawn besides the rig and its findings. */
interface ViewLook {
  /** Whether joints without a finding have their axes, too, where there is room. */
  readonly hasOthers?: boolean;
  /** Whether it tells where it looks from; what is shown at a scale of its own says so beside it. */
  readonly hasTitle?: boolean;
}

/**
 * One view with all its marks, the rig's middle at 0, 0.
 *
 * @param body Is or refers to the silhouette.
 * @param whole Findings that no joint shows: their badges stand in a row below the title.
 */
export function drawView(
  { joints, approved }: RigShape,
  { projection, silhouette, bounds }: ViewCell,
  findings: readonly JointFindings[],
  body: string,
  whole: readonly Numbered[] = [],
  { hasOthers = true, hasTitle = true }: ViewLook = {},
) {
  const places = joints.map(({ place }) => place && project(projection, place));
  const placeOf = (joint: number): Point | null => places[joint] ?? null;
  const shown = places.filter((place) => place !== null);
  const placement = new Placement(bounds);
  const title = hasTitle ? projection.view.title : '';
  const [width, height] = hasTitle ? [textWidth(title, TITLE) + 2, TITLE + 4] : [0, 0];
  const head = { x: bounds.x + 2, y: bounds.y + 2, width, height };
  placement.take(head);
  const row = badgeRow([head.x + 2, head.y + height + 4], whole);
  const rowWords = `of the ${whole.every(({ finding }) => finding.place.kind === 'rig') ? 'rig' : 'rig, a mesh or a skin'}`;
  const rowEnd = row.boxes.at(-1);
  const rowLabel = rowEnd && {
    x: rowEnd.x + rowEnd.width + 6,
    y: rowEnd.y,
    width: textWidth(rowWords, TITLE) + 2,
    height: rowEnd.height,
  };
  const rowBoxes = [...row.boxes, ...(rowLabel === undefined ? [] : [rowLabel])];
  for (const box of rowBoxes) placement.take(box);
  const radius = dotRadius(joints, projection.scale);
  for (const [x, y] of shown) placement.take(boxAbout(x, y, 2 * radius + 1, 2 * radius + 1));
  const labels: Box[] = [head, ...rowBoxes];
  const tripods: string[] = [];
  const crowd = new Placement(bounds);
  const isCrowded = crowdOf(shown);
  const addTripod = (joint: number, alone: boolean): void => {
    const [place, axes] = [placeOf(joint), joints[joint]?.axes ?? null];
    if (place === null || axes === null) return;
    const room = boxAbout(...place, TRIPOD_ROOM, TRIPOD_ROOM);
    if (alone && (!crowd.isFree(room) || isCrowded(place))) return;
    const tripod = drawTripod(axes, place, projection, TRIPOD, placement);
    if (tripod === null) return;
    crowd.take(room);
    tripods.push(tripod.svg);
    labels.push(...tripod.labels);
  };
  const marked = findings.slice(0, MOST_BADGES);
  for (const { joint } of marked) addTripod(joint, false);
  const badges = placeBadges(marked, placeOf, shown, silhouette.covers, bounds, placement);
  const drawn = badges.filter((badge) => badge !== null);
  labels.push(...drawn.map(({ box }) => box));
  // Where bones are so short, tripods would lie on each other.
  const roomy = hasOthers && radius > LEAST_ROOMY;
  joints.forEach((_, joint) => {
    if (roomy && !marked.some((entry) => entry.joint === joint)) addTripod(joint, true);
  });
  const below = [
    body,
    approved &&
      drawApproved(
        approved,
        approved.places.map((place) => place && project(projection, place)),
      ),
    drawBones(joints, places),
    ...drawn.map(({ leader }) => leader),
    ...tripods,
    ...joints.map(({ movesSkin }, joint) => {
      const place = placeOf(joint);
      return place && jointDot(place, movesSkin, radius, String(joint));
    }),
  ];
  const above = [
    hasTitle && textElement(head.x, head.y + TITLE, 'drawing-title', title, { 'font-size': TITLE }),
    row.svg,
    rowLabel && textElement(rowLabel.x, rowLabel.y + TITLE, 'drawing-quiet', rowWords),
  ];
  return {
    svg: joined([...below, ...drawn.map((badge) => badge.svg), ...above]),
    /** The same without its badges, and where they stand. */
    ground: () => joined([...below, ...above]),
    badges: marked.flatMap(({ joint, level }, index): UnnumberedBadge[] => {
      const box = badges[index]?.box;
      return box === undefined ? [] : [{ joint, level, box }];
    }),
    /** Boxes of title, badges and letters: no two of them overlap. */
    labels,
    /** Joints whose badge found no room. */
    unmarked: findings.filter((_, index) => !badges[index]).map(({ joint }) => joint),
  };
}

function joined(parts: readonly (string | false | null | undefined)[]): string {
  return parts.filter(Boolean).join('');
}

/** Tells where a tripod would hide other joints; those right behind do not count. */
function crowdOf(places: readonly Point[]): (place: Point) => boolean {
  const far = TRIPOD.length / 2;
  const cell = ([x, y]: Point, right = 0, down = 0): string =>
    `${Math.floor(x / far) + right} ${Math.floor(y / far) + down}`;
  // Of a heap of joints one is enough. Looked up by cells, since with thousands of joints each would be
  // compared with all.
  const each = new Map(places.map((place) => [place.join(' '), place])).values();
  const cells = groupBy(each, (place) => cell(place));
  return (place) =>
    AROUND.flatMap((step) => cells.get(cell(place, ...step)) ?? []).some((other) => {
      const gap = Math.hypot(other[0] - place[0], other[1] - place[1]);
      return gap > SAME_PLACE && gap < far;
    });
}

export function silhouettePaths({ body, creases }: Silhouette): string {
  const shown = body === '' ? '' : element('path', { class: 'drawing-body', d: body });
  return creases === '' ? shown : shown + element('path', { class: 'drawing-crease', d: creases });
}
