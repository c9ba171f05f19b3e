import { broken, type Must } from './must.js';
import type { FileNode, WholeFile } from './whole-file.js';

/** Of a length: rotations are written with seven digits or more. */
const UNIT = 1e-5;

/** Cosine between two axes of a matrix that are at right angles. */
const SQUARE = 1e-4;

const inNodes =
  (isBroken: (node: FileNode, index: number, file: WholeFile) => boolean): Must['breaches'] =>
  (file) =>
    broken(file.json.nodes, '/nodes', (node, index) => isBroken(node, index, file));

/** Nodes that list a node as a child, each once. */
export function parentsOf({ json }: WholeFile, node: number): number[] {
  return (json.nodes ?? []).flatMap(({ children }, index) =>
    children?.includes(node) === true ? [index] : [],
  );
}

/** A node and all above it; ends where a cycle closes. */
export function lineOf(file: WholeFile, node: number): number[] {
  const line: number[] = [];
  for (let at: number | undefined = node; at !== undefined && !line.includes(at); )
    [at] = [line.push(at) > 0 ? parentsOf(file, at)[0] : undefined];
  return line;
}

function isInCycle({ json }: WholeFile, node: number): boolean {
  const open = [...(json.nodes?.[node]?.children ?? [])];
  const seen = new Set<number>();
  for (let at = open.pop(); at !== undefined; at = open.pop()) {
    if (at === node) return true;
    if (seen.has(at)) continue;
    seen.add(at);
    open.push(...(json.nodes?.[at]?.children ?? []));
  }
  return false;
}

function isSkewed([a = 0, b = 0, c = 0, , d = 0, e = 0, f = 0, , g = 0, h = 0, i = 0]: number[]) {
  const axes = [
    [a, b, c],
    [d, e, f],
    [g, h, i],
  ];
  const dot = (p: number[], q: number[]): number =>
    p.reduce((sum, value, at) => sum + value * (q[at] ?? 0), 0);
  return axes.some((p, at) => {
    const q = axes[(at + 1) % 3] ?? [];
    const sizes = Math.sqrt(dot(p, p) * dot(q, q));
    return sizes > 0 && Math.abs(dot(p, q)) / sizes > SQUARE;
  });
}

function animated({ json }: WholeFile): Set<number | undefined> {
  return new Set(
    (json.animations ?? []).flatMap(({ channels = [] }) =>
      channels.map(({ target }) => target.node),
    ),
  );
}

/** glTF 2.0, 3.5 Scenes, and 5.25 Node. */
export const NODES: readonly Must[] = [
  {
    id: 'scene-roots',
    section: '3.5.1',
    says: 'All nodes listed in scene.nodes array MUST be root nodes, i.e., they MUST NOT be listed in a node.children array of any node.',
    breaches: (file) =>
      (file.json.scenes ?? []).flatMap(({ nodes = [] }, index) =>
        nodes.some((node) => parentsOf(file, node).length > 0) ? [`/scenes/${index}`] : [],
      ),
  },
  {
    id: 'one-parent',
    section: '3.5.2',
    says: 'each node MUST have zero or one parent node.',
    breaches: inNodes((_, index, file) => parentsOf(file, index).length > 1),
  },
  {
    id: 'no-cycle',
    section: '3.5.2',
    says: 'node hierarchy MUST NOT contain cycles.',
    breaches: inNodes((_, index, file) => isInCycle(file, index)),
  },
  {
    id: 'unit-rotation',
    section: '3.5.3, 5.25.6',
    says: 'rotation is a unit quaternion value; each of its numbers is from -1 to 1.',
    breaches: inNodes(
      ({ rotation }) =>
        rotation !== undefined &&
        (rotation.length !== 4 ||
          Math.abs(Math.hypot(...rotation) - 1) > UNIT ||
          rotation.some((value) => Math.abs(value) > 1)),
    ),
  },
  {
    id: 'vector-size',
    section: '5.25.4, 5.25.7, 5.25.8',
    says: 'matrix: number [16]; scale: number [3]; translation: number [3]. JSON numbers are finite.',
    breaches: inNodes(({ matrix, scale, translation }) => {
      const wrong = (list: unknown[] | undefined, size: number): boolean =>
        list !== undefined && (list.length !== size || !list.every(Number.isFinite));
      return wrong(matrix, 16) || wrong(scale, 3) || wrong(translation, 3);
    }),
  },
  {
    id: 'matrix-or-parts',
    section: '5.25',
    says: 'A node can have either a matrix or any combination of translation/rotation/scale (TRS) properties.',
    breaches: inNodes(
      ({ matrix, translation, rotation, scale }) =>
        matrix !== undefined &&
        (translation !== undefined || rotation !== undefined || scale !== undefined),
    ),
  },
  {
    id: 'matrix-decomposable',
    section: '3.5.3',
    says: 'When matrix is defined, it MUST be decomposable to TRS properties.',
    breaches: inNodes(
      ({ matrix }) => matrix !== undefined && matrix.length === 16 && isSkewed(matrix),
    ),
  },
  {
    id: 'animated-without-matrix',
    section: '3.5.3',
    says: 'When a node is targeted for animation (referenced by an animation.channel.target), only TRS properties MAY be present; matrix MUST NOT be present.',
    breaches: (file) => {
      const moved = animated(file);
      return broken(
        file.json.nodes,
        '/nodes',
        ({ matrix }, index) => matrix !== undefined && moved.has(index),
      );
    },
  },
  {
    id: 'skin-needs-mesh',
    section: '5.25.3',
    says: 'The schema of a node: skin depends on mesh.',
    breaches: inNodes(({ skin, mesh }) => skin !== undefined && mesh === undefined),
  },
];
