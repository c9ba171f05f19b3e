import type { EvidenceReport } from '../report/report-types.js';
import { direction } from '../rig/vec3.js';
import { type Box, boxesAround, dotted, type Placement } from './placement.js';
import { element, labelElement, linePath, oneDecimal } from './svg.js';
import { shortName, textWidth } from './text-size.js';
import { isDrawable, type Point, type Projection, project, projectDirection } from './view.js';

/** Length of an arrow, and letter size of its label. Picture units. */
const ARROW = 58;
const HEAD = 7;
const LETTER = 11;

/** An arrow that shows less than this share of its length points at the viewer or away: a ring stands for it. */
const SHORTEST = 0.12;

/** One piece of evidence with where its label belongs. */
export interface Piece {
  readonly svg: string;
  readonly label: string;
  /** Where the label should stand, and away from where. */
  readonly tip: Point;
  readonly from: Point;
  /** What labels keep off. */
  readonly trace: readonly Point[];
}

/**
 * What a finding was measured on. What is held against something
 * else (the second half of an even number of arrows or lines) is dashed.
 */
export function evidencePieces(
  evidence: readonly EvidenceReport[],
  projection: Projection,
  middle: Point,
): Piece[] {
  const at = (point: Point): Point => [middle[0] + point[0], middle[1] + point[1]];
  return evidence
    .map((item, index) => pieceOf(item, isReference(evidence, index), projection, at))
    .filter((piece) => piece !== null);
}

/** Labels of pieces, where there is room. */
export function labelPieces(pieces: readonly Piece[], placement: Placement): string {
  return pieces
    .map(({ label, tip, from }) => {
      const box = placement.takeFirst(labelBoxes(label, tip, from));
      return box === null ? '' : labelElement(box, label, LETTER);
    })
    .join('');
}

function isReference(evidence: readonly EvidenceReport[], index: number): boolean {
  const { kind } = evidence[index] ?? {};
  const all = evidence.filter((item) => item.kind === kind).length;
  const before = evidence.slice(0, index).filter((item) => item.kind === kind).length;
  return all % 2 === 0 && before >= all / 2;
}

function pieceOf(
  item: EvidenceReport,
  reference: boolean,
  projection: Projection,
  at: (point: Point) => Point,
): Piece | null {
  const label = shortName(item.label);
  const className = reference ? 'drawing-dashed' : 'drawing-evidence';
  switch (item.kind) {
    case 'point': {
      if (!isDrawable(item.at)) return null;
      const [x, y] = at(project(projection, item.at));
      const strokes = [-4, 4].map((rise): Point[] => [
        [x - 4, y + rise],
        [x + 4, y - rise],
      ]);
      const d = strokes.map(linePath).join('');
      const svg = element('path', { class: 'drawing-evidence', d });
      return { svg, label, tip: [x, y], from: [x, y], trace: [[x, y]] };
    }
    case 'line': {
      const points = item.points.filter(isDrawable).map((point) => at(project(projection, point)));
      const [from, tip] = [points[0], points.at(-1)];
      if (from === undefined || tip === undefined) return null;
      const svg = element('path', { class: className, d: linePath(points) });
      return { svg, label, tip, from, trace: points.slice(0, MOST_TRACED) };
    }
    case 'arrow': {
      const along = direction(item.along);
      if (along === null || !isDrawable(item.from)) return null;
      const from = at(project(projection, item.from));
      return arrowPiece(from, projectDirection(projection, along), label, className);
    }
  }
}

/** Points of a line that labels keep off: a cross-section can have thousands. */
const MOST_TRACED = 100;

function arrowPiece(from: Point, [dx, dy]: Point, label: string, className: string): Piece {
  const seen = Math.hypot(dx, dy);
  const [x, y] = from;
  if (seen < SHORTEST) {
    const svg = element('circle', { class: className, cx: x, cy: y, r: 9 });
    const trace: Point[] = [-9, 9].flatMap((r) => [
      [x + r, y],
      [x, y + r],
    ]);
    return { svg, label, tip: from, from, trace };
  }
  const tip: Point = [x + dx * ARROW, y + dy * ARROW];
  const [ux, uy] = [dx / seen, dy / seen];
  const base: Point = [tip[0] - ux * HEAD, tip[1] - uy * HEAD];
  const [sx, sy] = [(-uy * HEAD) / 2.2, (ux * HEAD) / 2.2];
  const head: Point[] = [tip, [base[0] + sx, base[1] + sy], [base[0] - sx, base[1] - sy]];
  const svg =
    element('path', { class: className, d: linePath([from, base]) }) +
    element('polygon', {
      class: 'drawing-head',
      points: head.map(([px, py]) => `${oneDecimal(px)},${oneDecimal(py)}`).join(' '),
    });
  // The shaft near the joint is left to the letters of the axes.
  const trace = dotted([[x + dx * ARROW * 0.3, y + dy * ARROW * 0.3], tip]);
  return { svg, label, tip, from, trace };
}

/** Places for a label around a tip, those that go on in its direction first. */
function labelBoxes(label: string, tip: Point, from: Point): Box[] {
  const size = [textWidth(label, LETTER), LETTER + 3] as const;
  const onward = Math.atan2(tip[1] - from[1], tip[0] - from[0]);
  return boxesAround(tip, size, [6, 14, 24, 36, 50], [0, 1, -1, 2, -2, 3, -3, 4], onward);
}
