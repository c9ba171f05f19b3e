import type { Level } from '../kit/finding.js';
import type { JointFindings } from './joint-findings.js';
import { cross, hits, type Line, passes } from './lines.js';
import { type Box, boxAbout, type Placement } from './placement.js';
import { element, textElement } from './svg.js';
import { BOLD, textWidth } from './text-size.js';
import type { Point } from './view.js';

/** Letter size and height of a badge. Picture units. */
const LETTER = 11;
const HEIGHT = 17;

/** Numbers that a badge shows; the rest are counted. */
const SHOWN = 3;

export interface Badge {
  readonly box: Box;
  readonly at: Point;
  readonly svg: string;
  readonly leader: string;
}

interface Candidate {
  readonly box: Box;
  readonly middle: Point;
  readonly reach: number;
}

/** Distances and directions around a joint that a badge may stand in. Picture units. */
const REACHES = [17, 23, 30, 38, 48, 60, 74, 90];
const DIRECTIONS = 16;

/** What a place costs, as so many picture units farther off. */
const COST = { covers: 34, crosses: 40, passes: 14 };

/** What else is in the picture, so that badges keep clear of it. */
export interface Surroundings {
  readonly placement: Placement;
  /** Where badges may be looked for when there is no room near a joint. */
  readonly bounds: Box;
  readonly covers: (point: Point) => boolean;
  /** Places of all joints. */
  readonly joints: readonly Point[];
}

/** Badges for joints, in order, each at the best free place; null for one that finds none. */
export function placeBadges(
  findings: readonly JointFindings[],
  placeOf: (joint: number) => Point | null,
  around: Surroundings,
): (Badge | null)[] {
  const leaders: Line[] = [];
  const boxes: Box[] = [];
  return findings.map((entry) => {
    const at = placeOf(entry.joint);
    if (at === null) return null;
    const text = badgeText(entry.numbers);
    const width = Math.max(HEIGHT, textWidth(text, LETTER) * BOLD + 9);
    const cost = ({ box, middle, reach }: Candidate): number => {
      const line: Line = [at, middle];
      const crossed =
        leaders.filter((other) => cross(line, other)).length +
        leaders.filter((other) => hits(other, box)).length +
        boxes.filter((other) => hits(line, other)).length;
      const passed = around.joints.filter((joint) => passes(line, joint)).length;
      return (
        reach +
        COST.covers * coverage(box, around.covers) +
        COST.crosses * crossed +
        COST.passes * passed
      );
    };
    const best =
      around.placement.takeBest(near(at, width), cost) ??
      around.placement.takeBest(anywhere(at, width, around.bounds), cost);
    if (best === null) return null;
    leaders.push([at, best.middle]);
    boxes.push(best.box);
    return drawBadge(best.box, at, text, entry.level);
  });
}

/** `2, 5`. */
export function badgeText(numbers: readonly number[]): string {
  const shown = numbers.slice(0, SHOWN).join(', ');
  return numbers.length > SHOWN ? `${shown} +${numbers.length - SHOWN}` : shown;
}

function drawBadge(box: Box, at: Point, text: string, level: Level): Badge {
  const { x, y, width, height } = box;
  const label = textElement(x + width / 2, y + height / 2 + 0.36 * LETTER, 'drawing-number', text);
  const [[x1, y1], [x2, y2]] = [edgeToward(box, at), at];
  const leader = element('line', { class: `drawing-leader drawing-${level}`, x1, y1, x2, y2 });
  return { box, at, svg: pill(level, box) + label, leader };
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

function* near(at: Point, width: number): Generator<Candidate> {
  for (const reach of REACHES) {
    for (let turn = 0; turn < DIRECTIONS; turn++) {
      const angle = (2 * Math.PI * turn) / DIRECTIONS;
      // A wide pill is pushed out so that its end, not its middle, keeps the distance.
      const x = at[0] + Math.cos(angle) * (reach + (width - HEIGHT) / 2);
      const y = at[1] + Math.sin(angle) * reach;
      yield { box: boxAbout(x, y, width, HEIGHT), middle: [x, y], reach };
    }
  }
}

/** Rows of places over the whole picture. */
function* anywhere(at: Point, width: number, bounds: Box): Generator<Candidate> {
  const [stepX, stepY] = [width + 5, HEIGHT + 5];
  for (let y = bounds.y + HEIGHT / 2 + 2; y < bounds.y + bounds.height; y += stepY) {
    for (let x = bounds.x + width / 2 + 2; x < bounds.x + bounds.width; x += stepX) {
      const reach = Math.hypot(x - at[0], y - at[1]);
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
