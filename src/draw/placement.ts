import type { Point } from './view.js';

/** A box of a picture: its corner at the top left. Picture units. */
export type Box = Readonly<Record<'x' | 'y' | 'width' | 'height', number>>;

/** A box about a middle. */
export function boxAbout(x: number, y: number, width: number, height: number): Box {
  return { x: x - width / 2, y: y - height / 2, width, height };
}

/**
 * Boxes for words around a point, the nearest first.
 *
 * @param size Width and height of the words.
 * @param turns Directions in eighths of a turn, counted from `onward` in radians; the best first.
 */
export function boxesAround(
  [x, y]: Point,
  [width, height]: Point,
  reaches: readonly number[],
  turns: readonly number[],
  onward = 0,
): Box[] {
  return reaches.flatMap((reach) =>
    turns.map((turn) => {
      const angle = onward + (turn * Math.PI) / 4;
      const right = Math.cos(angle) * (reach + width / 2);
      const down = Math.sin(angle) * (reach + height / 2);
      return boxAbout(x + right, y + down, width, height);
    }),
  );
}

/** Points along one stretch of a line, at most. */
const MOST_DOTS = 400;

/** Whether two boxes share more than an edge. */
export function overlap(a: Box, b: Box): boolean {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

/** Points along a line, near enough to each other that boxes about them keep words off it. */
export function dotted(line: readonly Point[]): Point[] {
  return line.flatMap(([x, y], index) => {
    const [fromX, fromY] = line[index - 1] ?? [x, y];
    const steps = Math.max(1, Math.min(MOST_DOTS, Math.ceil(Math.hypot(x - fromX, y - fromY) / 4)));
    return Array.from({ length: steps }, (_, step): Point => {
      const share = (step + 1) / steps;
      return [fromX + share * (x - fromX), fromY + share * (y - fromY)];
    });
  });
}

/** Cells of the grid that boxes are looked up by. Picture units. */
const CELL = 24;

/** Which places of a picture are taken. Nothing that is taken here ever overlaps. */
export class Placement {
  private readonly cells = new Map<number, Box[]>();
  private deepest = -Infinity;

  constructor(private readonly bounds: Box) {}

  /** Whether a box lies in the picture and touches nothing. */
  isFree(box: Box): boolean {
    const { x, y, width, height } = this.bounds;
    if (box.x < x || box.y < y) return false;
    if (box.x + box.width > x + width || box.y + box.height > y + height) return false;
    return this.cellsOf(box).every(
      (cell) => !(this.cells.get(cell) ?? []).some((other) => overlap(box, other)),
    );
  }

  /** The first of the boxes that is free, now taken; null when none is. */
  takeFirst(boxes: readonly Box[]): Box | null {
    return this.takeBest(boxes.map((box) => ({ box })))?.box ?? null;
  }

  /** Where the lowest of what is taken ends; -Infinity where nothing is. */
  get bottom(): number {
    return this.deepest;
  }

  take(box: Box): void {
    this.deepest = Math.max(this.deepest, box.y + box.height);
    for (const cell of this.cellsOf(box)) {
      const here = this.cells.get(cell);
      if (here === undefined) this.cells.set(cell, [box]);
      else here.push(box);
    }
  }

  /**
   * The cheapest of the boxes that are free, now taken; the first of equals; null when none is.
   *
   * @param cost Told the least so far: what costs more may be given any cost above it.
   */
  takeBest<T extends { readonly box: Box }>(
    candidates: Iterable<T>,
    cost: (candidate: T, least: number) => number = () => 0,
  ): T | null {
    let best: T | null = null;
    let least = Infinity;
    for (const candidate of candidates) {
      if (!this.isFree(candidate.box)) continue;
      const price = cost(candidate, least);
      if (price < least) [best, least] = [candidate, price];
    }
    if (best !== null) this.take(best.box);
    return best;
  }

  private cellsOf({ x, y, width, height }: Box): number[] {
    const { bounds } = this;
    const columns = Math.ceil(bounds.width / CELL) + 1;
    const rows = Math.ceil(bounds.height / CELL) + 1;
    const clamp = (value: number, most: number): number =>
      Math.max(0, Math.min(most - 1, Math.floor(value / CELL)));
    const [left, right] = [clamp(x - bounds.x, columns), clamp(x + width - bounds.x, columns)];
    const [top, bottom] = [clamp(y - bounds.y, rows), clamp(y + height - bounds.y, rows)];
    const out: number[] = [];
    for (let row = top; row <= bottom; row++)
      for (let column = left; column <= right; column++) out.push(row * columns + column);
    return out;
  }
}
