import { drawing, element, linePath, textElement } from '../../draw/svg.js';
import { BOLD, fitText, shortName, textWidth } from '../../draw/text-size.js';
import { significant } from '../../kit/figures.js';
import { frameAngle } from '../../measure/skeleton/frames.js';
import { column, columnLength, determinant3, mat4At } from '../../rig/mat4.js';
import type { NodeTable } from '../../rig/types.js';
import { direction, distance, type Vec3 } from '../../rig/vec3.js';
import { type Drawn, type PairSide, type PairSource, SIDE_WORDS } from './pair-source.js';

const [WIDTH, ROW, TOP] = [340, 24, 16];
const [LEFT, STEP, LETTER] = [16, 18, 12.5];
/** Rows of a side at most: what changed, what it hangs on, and a little of what hangs on it. */
const MOST = 11;
/** Differences of stored numbers that are only rounding. */
const SAME = 1e-5;
/** A smaller turn is only rounding. Degrees. */
const SAME_TURN = 0.05;

type Axes = [Vec3, Vec3, Vec3];
const UNTURNED: Axes = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** A node as a row: its depth, what it is called and what is said of it. */
interface Row {
  readonly node: number;
  readonly depth: number;
  readonly changed: boolean;
  readonly note: string;
}

/** The part of the tree of nodes that differs, with names and stored numbers, on both sides. */
export function treePair(source: PairSource): Drawn | null {
  const sides = [source.atFault, source.mended] as const;
  const [old, now] = sides.map(({ model }) => model.nodes);
  if (old === undefined || now === undefined) return null;
  const toNow = answers(old, now);
  const toOld = answers(now, old);
  const rows = [rowsOf(old, now, toNow), rowsOf(now, old, toOld)] as const;
  if (rows.every((list) => list.every(({ changed }) => !changed))) return null;
  const most = Math.max(rows[0].length, rows[1].length);
  return [drawTree(sides[0], rows[0], 0, most), drawTree(sides[1], rows[1], 1, most)];
}

/** The node that answers to each: the one at its place in trees that are alike, else that of its name. */
function answers(from: NodeTable, to: NodeTable): number[] {
  const alike = from.count === to.count && from.parent.every((up, node) => up === to.parent[node]);
  return Array.from({ length: from.count }, (_, node) =>
    alike ? node : to.names.indexOf(from.names[node] ?? null),
  );
}

function rowsOf(nodes: NodeTable, others: NodeTable, answer: readonly number[]): Row[] {
  const depth = new Int32Array(nodes.count);
  const altered = new Set<number>();
  const all = [...nodes.order].map((node): Row => {
    const parent = nodes.parent[node] ?? -1;
    depth[node] = parent === -1 ? 0 : (depth[parent] ?? 0) + 1;
    const told = difference(nodes, others, node, answer);
    // What hangs on a node that is stored otherwise is stored otherwise for that alone, if it stays in its place.
    const follows =
      told.isStored && altered.has(parent) && staysPut(nodes, others, node, answer[node] ?? -1);
    if (told.isStored) altered.add(node);
    const row = follows ? { changed: false, note: '' } : told;
    return { node, depth: depth[node] ?? 0, changed: row.changed, note: row.note };
  });
  const shown = new Set<number>();
  const isFull = (): boolean => shown.size >= MOST;
  for (const { node, changed } of all) {
    if (!changed || isFull()) continue;
    // With the two that it hangs on.
    for (let up = node, far = 0; up !== -1 && far < 3; up = nodes.parent[up] ?? -1, far++)
      shown.add(up);
  }
  for (const node of [...shown])
    for (const child of (nodes.children[node] ?? []).slice(0, 2)) if (!isFull()) shown.add(child);
  // A side that has nothing of its own shows where the other has it.
  if (shown.size === 0)
    for (const node of others.order)
      if (!answer.includes(node)) {
        const up = answer.indexOf(others.parent[node] ?? -1);
        for (const near of [nodes.parent[up] ?? -1, up, ...(nodes.children[up] ?? [])])
          if (near !== -1 && !isFull()) shown.add(near);
      }
  const kept = all.filter(({ node }) => shown.has(node)).slice(0, MOST);
  const least = Math.min(...kept.map((row) => row.depth));
  return kept.map((row) => ({ ...row, depth: row.depth - least }));
}

/** Whether a node stands in the same place of the world on both sides. */
function staysPut(nodes: NodeTable, others: NodeTable, node: number, other: number): boolean {
  const [own, there] = [mat4At(nodes.world, node), mat4At(others.world, other)];
  return distance(column(own, 3), column(there, 3)) <= SAME;
}

/** What is told of a node, and whether that is the transform that it stores. */
interface Difference extends Pick<Row, 'changed' | 'note'> {
  readonly isStored: boolean;
}

/** Whether a node is otherwise on the other side, and how it is here. */
function difference(
  nodes: NodeTable,
  others: NodeTable,
  node: number,
  answer: readonly number[],
): Difference {
  const other = answer[node] ?? -1;
  const isNew = other === -1 || (nodes.names[node] ?? '') !== (others.names[other] ?? '');
  if (isNew) return { changed: true, note: '', isStored: false };
  const parent = nodes.parent[node] ?? -1;
  const [up, otherUp] = [parent === -1 ? -1 : (answer[parent] ?? -1), others.parent[other] ?? -1];
  if (up !== otherUp) {
    const note = parent === -1 ? 'hangs on nothing' : `hangs on ${nodes.names[parent] ?? ''}`;
    return { changed: true, note, isStored: false };
  }
  const note = numbers(mat4At(nodes.local, node), mat4At(others.local, other));
  return { changed: note !== '', note, isStored: note !== '' };
}

/** What of a stored transform differs, as it is here. */
function numbers(own: Float64Array, other: Float64Array): string {
  const scales = [own, other].map((matrix) => {
    const sign = determinant3(matrix) < 0 ? -1 : 1;
    return [0, 1, 2].map((axis) => (axis === 0 ? sign : 1) * columnLength(matrix, axis));
  });
  const [scale = [], otherScale = []] = scales;
  const far = (a = 0, b = 0): boolean => Math.abs(a - b) > SAME * Math.max(1, Math.abs(a));
  const isScaled = scale.some((value, axis) => far(value, otherScale[axis]));
  const [axes, otherAxes] = [axesOf(own), axesOf(other)];
  const isTurned = axes && otherAxes && frameAngle(axes, otherAxes) > SAME_TURN;
  const moved = distance(column(own, 3), column(other, 3));
  const list = (values: readonly number[]): string => values.map(significant).join(', ');
  const isMirrored = determinant3(own) * determinant3(other) < 0;
  return [
    isScaled && `scale ${list(scale)}`,
    isTurned && !isMirrored && `turn ${significant(turnOf(axes))}°`,
    moved > SAME && !isScaled && `stands at ${list(column(own, 3))}`,
  ]
    .filter(Boolean)
    .join('; ');
}

/** The directions of the axes of a matrix; null for one that is flat. */
function axesOf(matrix: Float64Array): Axes | null {
  const [x, y, z] = [0, 1, 2].map((axis) => direction(column(matrix, axis)));
  return x && y && z ? [x, y, z] : null;
}

/** How far axes are turned against those of their parent. Degrees. */
function turnOf(axes: Axes): number {
  const angle = frameAngle(UNTURNED, axes);
  return angle > SAME_TURN ? angle : 0;
}

function drawTree(
  { model, report }: PairSide,
  rows: readonly Row[],
  side: 0 | 1,
  most: number,
): string {
  const { nodes } = model;
  const still = new Set(
    report.rigs[0]?.joints.filter(({ movesSkin }) => !movesSkin).map(({ node }) => node),
  );
  const isJoint = new Set(report.rigs[0]?.joints.map(({ node }) => node));
  const y = (at: number): number => TOP + ROW * (at + 0.5);
  const x = (row: Row): number => LEFT + STEP * Math.min(row.depth, 6);
  const parts = rows.map((row, at) => {
    const above = rows.findIndex(({ node }) => node === nodes.parent[row.node]);
    const up = rows[above];
    const branch =
      up === undefined
        ? ''
        : element('path', {
            class: 'drawing-bone',
            d: linePath([
              [x(up), y(above)],
              [x(up), y(at)],
              [x(row), y(at)],
            ]),
          });
    const hollow = still.has(row.node) || !isJoint.has(row.node);
    const dot = element('circle', {
      class: `drawing-joint${hollow ? ' drawing-hollow' : ''}`,
      cx: x(row),
      cy: y(at),
      r: 3.2,
    });
    const left = x(row) + 10;
    const plain = nodes.names[row.node] ?? '';
    const name = fitText(
      shortName(plain === '' ? '(no name)' : plain),
      LETTER * BOLD,
      WIDTH - left - 8,
    );
    const mark = side === 0 ? 'drawing-error' : 'drawing-sound';
    const look = row.changed ? `drawing-strong ${mark}` : 'drawing-quiet';
    const wide = textWidth(name, LETTER) * BOLD;
    const room = WIDTH - left - wide - 16;
    const note = row.note === '' ? '' : fitText(row.note, LETTER, room);
    return [
      branch,
      dot,
      textElement(left, y(at) + 4.4, look, name, { 'font-size': LETTER }),
      note === ''
        ? ''
        : textElement(left + wide + 8, y(at) + 4.4, mark, note, { 'font-size': LETTER }),
    ].join('');
  });
  const told = rows
    .filter(({ changed }) => changed)
    .map(({ node, note }) => `${nodes.names[node] ?? 'no name'}${note === '' ? '' : ` ${note}`}`);
  const label = `${SIDE_WORDS[side]}: the tree of joints${told.length === 0 ? '' : `, with ${told.join(', ')}`}.`;
  return drawing('tree', label, [0, 0, WIDTH, 2 * TOP + ROW * most], ...parts);
}
