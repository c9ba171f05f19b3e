import type { Level } from '../kit/finding.js';
import type { JointFindings, Numbered } from './joint-findings.js';
import { type Box, boxAbout, type Placement } from './placement.js';
import { element, textElement } from './svg.js';
import { BOLD, textWidth } from './text-size.js';
import type { Point } from './view.js';

/** Letter size and height of a badge. Picture units. */
const [LETTER, HEIGHT] = [11, 17];
/** Numbers that a badge shows; the rest are counted. */
const SHOWN = 3;
/** Distances and directions around a joint in which a badge may be placed. Picture units. */
const REACHES = [17, 23, 30, 38, 48, 60, 74, 90];
const DIRECTIONS = 16;
/** What a place costs, as so many picture units farther off. */
const COST = { covers: 34, crosses: 40, passes: 14 };
/** A leader passes a joint at less than this: it seems to lead there. Picture units. */
const NEAR = 4;

/** Badges of a row, and the gap between them. Picture units. */
const [ROW, ROW_GAP] = [8, 4];

type Line = readonly [Point, Point];

interface Candidate {
  readonly box: Box;
  readonly middle: Point;
  readonly reach: number;
}

/**
 * Badges for joints, in order, each at the best free place; null for one that finds none.
 *
 * @param joints Places of all joints, which leaders should not pass.
 * @param covers Whether the body covers a point.
 * @param bounds Where a badge may go when there is no room near its joint.
 */
export function placeBadges(
  findings: readonly JointFindings[],
  placeOf: (joint: number) => Point | null,
  joints: readonly Point[],
  covers: (point: Point) => boolean,
  bounds: Box,
  placement: Placement,
) {
  const leaders: Line[] = [];
  const boxes: Box[] = [];
  return findings.map(({ joint, numbers, level }) => {
    const place = placeOf(joint);
    if (place === null) return null;
    const text = badgeText(numbers);
    const width = badgeWidth(text);
    const cost = ({ box, middle, reach }: Candidate, enough: number): number => {
      const line: Line = [place, middle];
      const crossed =
        leaders.filter((other) => cross(line, other)).length +
        leaders.filter((other) => hits(other, box)).length +
        boxes.filter((other) => hits(line, other)).length;
      const besides = reach + COST.covers * coverage(box, covers) + COST.crosses * crossed;
      // Past a better place nothing more is counted: in a crowd a leader passes thousands.
      return besides + COST.passes * countPassed(line, joints, (enough - besides) / COST.passes);
    };
    const best =
      placement.takeBest(near(place, width), cost) ??
      placement.takeBest(anywhere(place, width, bounds), cost);
    if (best === null) return null;
    leaders.push([place, best.middle]);
    boxes.push(best.box);
    return {
      box: best.box,
      svg: drawBadge(best.box, text, level),
      leader: drawLeader(best.box, place, level),
    };
  });
}

/** `2, 5`. */
export function badgeText(numbers: readonly number[]): string {
  const shown = numbers.slice(0, SHOWN).join(', ');
  return numbers.length > SHOWN ? `${shown} +${numbers.length - SHOWN}` : shown;
}

export function badgeWidth(text: string): number {
  return Math.max(HEIGHT, textWidth(text, LETTER) * BOLD + 9);
}

export function drawBadge(box: Box, text: string, level: Level): string {
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2 + 0.36 * LETTER];
  return pill(level, box) + textElement(x, y, 'drawing-number', text);
}

function drawLeader(box: Box, [x2, y2]: Point, level: Level): string {
  const [x1, y1] = edgeToward(box, [x2, y2]);
  return element('line', { class: `drawing-leader drawing-${level}`, x1, y1, x2, y2 });
}

/** Badges of findings that no joint shows, in a row from a point on, and the boxes that they take. */
export function badgeRow([left, top]: Point, findings: readonly Numbered[]) {
  const boxes: Box[] = [];
  let svg = '';
  let x = left;
  const add = (text: string, level: Level): void => {
    const width = badgeWidth(text);
    const box = { x, y: top, width, height: HEIGHT };
    svg += drawBadge(box, text, level);
    boxes.push(box);
    x += width + ROW_GAP;
  };
  for (const { number, finding } of findings.slice(0, ROW)) add(String(number), finding.level);
  const more = findings.slice(ROW);
  const [first] = more;
  if (first !== undefined) add(`+${more.length}`, first.finding.level);
  return { svg, boxes };
}

/** The ground of a badge: a box with round ends. */
export function pill(level: Level, box: Box): string {
  return element('rect', { class: `drawing-badge drawing-${level}`, ...box, rx: box.height / 2 });
}

/** The point of a pill's edge on the straight line to a point outside. */
function edgeToward({ x, y, width, height }: Box, to: Point): Point {
  const r = height / 2;
  const [cx, cy] = [Math.max(x + r, Math.min(x + width - r, to[0])), y + r];
  const [dx, dy] = [to[0] - cx, to[1] - cy];
  const far = Math.hypot(dx, dy);
  return far > 0 ? [cx + (dx / far) * r, cy + (dy / far) * r] : [cx, cy];
}

function* near([x, y]: Point, width: number): Generator<Candidate> {
  for (const reach of REACHES) {
    for (let turn = 0; turn < DIRECTIONS; turn++) {
      const angle = (2 * Math.PI * turn) / DIRECTIONS;
      // A wide pill is pushed out so that its end, not its middle, keeps the distance.
      const right = x + Math.cos(angle) * (reach + (width - HEIGHT) / 2);
      const down = y + Math.sin(angle) * reach;
      yield { box: boxAbout(right, down, width, HEIGHT), middle: [right, down], reach };
    }
  }
}

/** Rows of places over the whole picture. */
function* anywhere(place: Point, width: number, bounds: Box): Generator<Candidate> {
  const [stepX, stepY] = [width + 5, HEIGHT + 5];
  for (let y = bounds.y + HEIGHT / 2 + 2; y < bounds.y + bounds.height; y += stepY) {
    for (let x = bounds.x + width / 2 + 2; x < bounds.x + bounds.width; x += stepX) {
      const reach = Math.hypot(x - place[0], y - place[1]);
      yield { box: boxAbout(x, y, width, HEIGHT), middle: [x, y], reach };
    }
  }
}

/** Share of a box that the body covers, by nine points. */
function coverage({ x, y, width, height }: Box, covers: (point: Point) => boolean): number {
  let sum = 0;
  for (const across of [0, 0.5, 1])
    for (const down of [0, 0.5, 1]) if (covers([x + across * width, y + down * height])) sum++;
  return sum / 9;
}

/** On which side of a line a point lies: twice the area that it spans with the line. */
function side([a, b]: Line, p: Point): number {
  return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
}

/** Whether two lines cross; not where they only touch. */
function cross(a: Line, b: Line): boolean {
  return side(a, b[0]) * side(a, b[1]) < 0 && side(b, a[0]) * side(b, a[1]) < 0;
}

/** Whether a line runs through a box: it crosses a diagonal. */
function hits(line: Line, { x, y, width, height }: Box): boolean {
  const topLeft: Point = [x, y];
  const topRight: Point = [x + width, y];
  const bottomLeft: Point = [x, y + height];
  const bottomRight: Point = [x + width, y + height];
  return cross(line, [topLeft, bottomRight]) || cross(line, [topRight, bottomLeft]);
}

/** How many points a line seems to lead to on its way; counting ends at `enough`. */
function countPassed([a, b]: Line, points: readonly Point[], enough: number): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const length = Math.hypot(dx, dy);
  let passed = 0;
  for (const [x, y] of points) {
    if (passed > enough) break;
    const [right, down] = [x - a[0], y - a[1]];
    const along = (right * dx + down * dy) / length;
    const beside = Math.abs(dx * down - dy * right) / length;
    if (along > NEAR && along < length && beside < NEAR) passed++;
  }
  return passed;
}
