import type { EvidenceReport } from '../report/report-types.js';
import { direction, type Vec3 } from '../rig/vec3.js';
import { boxesAround, dotted, type Placement } from './placement.js';
import { element, labelElement, linePath, oneDecimal } from './svg.js';
import { shortName, textWidth } from './text-size.js';
import { isDrawable, type Point, type Projection, project, projectDirection } from './view.js';

/** Length of an arrow and of its head, and letter size of its label. Picture units. */
const [ARROW, HEAD, LETTER] = [58, 7, 11];
/** An arrow that shows less of its length points at the viewer or away, and is drawn as a ring. Share. */
const SHORTEST = 0.12;
/** Points of a line that labels keep off: a cross-section can have thousands. */
const MOST_TRACED = 100;

/** A drawn piece of evidence and the place of its label. */
interface Piece {
  readonly svg: string;
  readonly label: string;
  /** Where the label goes, on the far side of `from`. */
  readonly tip: Point;
  readonly from: Point;
  /** What labels keep off. */
  readonly trace: readonly Point[];
}

/**
 * What a finding was measured on. What it is compared with (the second half of an even number of
 * arrows or lines) is dashed.
 */
export function evidencePieces(
  evidence: readonly EvidenceReport[],
  projection: Projection,
  middle: Point,
): Piece[] {
  const place = (point: Vec3): Point => {
    const [x, y] = project(projection, point);
    return [middle[0] + x, middle[1] + y];
  };
  return evidence.flatMap((entry, index) => {
    const isAlike = ({ kind }: EvidenceReport): boolean => kind === entry.kind;
    const alike = evidence.filter(isAlike).length;
    const before = evidence.slice(0, index).filter(isAlike).length;
    const isReference = alike % 2 === 0 && before >= alike / 2;
    const className = isReference ? 'drawing-dashed' : 'drawing-evidence';
    return pieceOf(entry, className, projection, place) ?? [];
  });
}

/** Labels of pieces, where there is room; best on the line of the piece, beyond its tip. */
export function labelPieces(pieces: readonly Piece[], placement: Placement): string {
  const labels = pieces.map(({ label, tip, from }) => {
    const size = [textWidth(label, LETTER), LETTER + 3] as const;
    const onward = Math.atan2(tip[1] - from[1], tip[0] - from[0]);
    const box = placement.takeFirst(
      boxesAround(tip, size, [6, 14, 24, 36, 50], [0, 1, -1, 2, -2, 3, -3, 4], onward),
    );
    return box === null ? '' : labelElement(box, label, LETTER);
  });
  return labels.join('');
}

function pieceOf(
  evidence: EvidenceReport,
  className: string,
  projection: Projection,
  place: (point: Vec3) => Point,
): Piece | null {
  const label = shortName(evidence.label);
  switch (evidence.kind) {
    case 'point': {
      if (!isDrawable(evidence.at)) return null;
      const [x, y] = place(evidence.at);
      const stroke = (rise: number): string =>
        linePath([
          [x - 4, y + rise],
          [x + 4, y - rise],
        ]);
      const svg = element('path', { class: 'drawing-evidence', d: stroke(-4) + stroke(4) });
      return { svg, label, tip: [x, y], from: [x, y], trace: [[x, y]] };
    }
    case 'line': {
      const points = evidence.points.filter(isDrawable).map(place);
      const [from, tip] = [points[0], points.at(-1)];
      if (from === undefined || tip === undefined) return null;
      const svg = element('path', { class: className, d: linePath(points) });
      return { svg, label, tip, from, trace: points.slice(0, MOST_TRACED) };
    }
    case 'arrow': {
      const along = direction(evidence.along);
      if (along === null || !isDrawable(evidence.from)) return null;
      const seen = projectDirection(projection, along);
      return { label, ...drawArrow(place(evidence.from), seen, className) };
    }
  }
}

function drawArrow(from: Point, [dx, dy]: Point, className: string): Omit<Piece, 'label'> {
  const seen = Math.hypot(dx, dy);
  const [x, y] = from;
  if (seen < SHORTEST) {
    const svg = element('circle', { class: className, cx: x, cy: y, r: 9 });
    const trace: Point[] = [-9, 9].flatMap((r) => [
      [x + r, y],
      [x, y + r],
    ]);
    return { svg, tip: from, from, trace };
  }
  const tip: Point = [x + dx * ARROW, y + dy * ARROW];
  const [ux, uy] = [dx / seen, dy / seen];
  const base: Point = [tip[0] - ux * HEAD, tip[1] - uy * HEAD];
  const [sx, sy] = [(-uy * HEAD) / 2.2, (ux * HEAD) / 2.2];
  const head: Point[] = [tip, [base[0] + sx, base[1] + sy], [base[0] - sx, base[1] - sy]];
  const points = head.map(([px, py]) => `${oneDecimal(px)},${oneDecimal(py)}`).join(' ');
  const svg =
    element('path', { class: className, d: linePath([from, base]) }) +
    element('polygon', { class: 'drawing-head', points });
  // The shaft near the joint is left to the letters of the axes.
  return { svg, tip, from, trace: dotted([[x + dx * ARROW * 0.3, y + dy * ARROW * 0.3], tip]) };
}
