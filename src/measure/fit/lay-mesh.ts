import { diagonal } from '../../rig/box.js';
import { identity, invert, type Mat4, transformPoint } from '../../rig/mat4.js';
import { QUARTER_TURNS } from '../../rig/quarter-turns.js';
import { add, distance, scale, subtract, type Vec3, vec3At } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bindMesh } from '../geometry/bind-mesh.js';

/** The mesh of one rig laid over that of another, as both are bound: x -> k R x + t. */
export interface LaidMesh {
  /** From the world of the first to that of the second, column-major. */
  readonly matrix: Mat4;
  /** k. */
  readonly scale: number;
  /** Of the vertices that were looked at, how many lie on the other mesh; the greater of both ways. 0 to 1. */
  readonly share: number;
}

/** Two vertices nearer than this, or a little farther, lie on each other. Share of size. */
const CELL = 0.01;
/** Vertices of each mesh that are looked up in the other. */
const ASKED = 400;
/** Of one mesh so many lie on the other at least, and so many the other way round: a part may have been left out. Share. */
const [LEAST, LEAST_BACK] = [0.8, 0.2];
/** A part that was left out makes a mesh no smaller than this. Times. */
const MOST_LARGER = 2;
/** From so many on nothing better is looked for. Share. */
const SURE = 0.98;
/** Boxes whose sides differ by more are not of one mesh. Share of the diagonal. */
const SAME_BOX = 0.02;
/** Sizes that a file can be written in beside the one of another: metres and centimetres. */
const SIZES = [1, 0.01, 100];

/**
 * Lays the mesh of one rig over that of another, so that joints compare by place whatever they are
 * called: as it stands, else box over box, with any quarter turn (which up axis a program has), else
 * about the origin. Null where in none of these ways the vertices lie on each other: then it is another
 * mesh.
 */
export function layMesh(model: Facts, own: Facts): LaidMesh | null {
  const [theirs, ours] = [meshCells(model), meshCells(own)];
  if (theirs === null || ours === null) return null;
  let best: LaidMesh | null = null;
  for (const { matrix, factor } of waysOf(model, own)) {
    const back = invert(matrix);
    const larger = (factor * bindMesh(model).size) / bindMesh(own).size;
    if (back === null || larger > MOST_LARGER || larger < 1 / MOST_LARGER) continue;
    const there = shareOf(theirs.asked, matrix, ours);
    const here = shareOf(ours.asked, back, theirs);
    const share = Math.max(there, here);
    if (share < LEAST || Math.min(there, here) < LEAST_BACK) continue;
    if (best === null || share > best.share) best = { matrix, scale: factor, share };
    if (best.share >= SURE) break;
  }
  return best;
}

interface Way {
  readonly matrix: Mat4;
  readonly factor: number;
}

/** The likeliest first. */
function* waysOf(model: Facts, own: Facts): Generator<Way> {
  const [from, to] = [bindMesh(model), bindMesh(own)];
  yield { matrix: identity(), factor: 1 };
  const factor = to.size / from.size;
  for (const turn of QUARTER_TURNS) {
    const sides = scale(absolute(turn(subtract(from.max, from.min))), factor);
    if (distance(sides, subtract(to.max, to.min)) > SAME_BOX * to.size) continue;
    const middle = scale(turn(from.centre), factor);
    yield { matrix: matrixOf(turn, factor, subtract(to.centre, middle)), factor };
  }
  for (const size of SIZES)
    for (const turn of QUARTER_TURNS)
      yield { matrix: matrixOf(turn, size, [0, 0, 0]), factor: size };
}

function absolute([x, y, z]: Vec3): Vec3 {
  return [Math.abs(x), Math.abs(y), Math.abs(z)];
}

function matrixOf(turn: (place: Vec3) => Vec3, factor: number, move: Vec3): Mat4 {
  const matrix = identity();
  const axes: readonly Vec3[] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  for (const [at, axis] of axes.entries()) matrix.set(scale(turn(axis), factor), 4 * at);
  matrix.set(move, 12);
  return matrix;
}

/** Where a mesh has vertices, and some of them. */
interface MeshCells {
  readonly has: (place: Vec3) => boolean;
  readonly asked: readonly Vec3[];
}

/** Null for a mesh without extent. */
const meshCells = fact((facts): MeshCells | null => {
  const { positions, min, max, size } = bindMesh(facts);
  const total = positions.reduce((sum, part) => sum + part.length / 3, 0);
  if (!(size > 0) || total === 0 || !Number.isFinite(diagonal({ min, max }))) return null;
  const cell = CELL * size;
  const across = Math.ceil(1 / CELL) + 3;
  const keyOf = (x: number, y: number, z: number): number => (x * across + y) * across + z;
  const cellsOf = (place: Vec3): Vec3 => {
    const [x, y, z] = scale(subtract(place, min), 1 / cell);
    return [Math.floor(x) + 1, Math.floor(y) + 1, Math.floor(z) + 1];
  };
  const filled = new Set<number>();
  const asked: Vec3[] = [];
  const step = Math.max(1, Math.floor(total / ASKED));
  let count = 0;
  for (const part of positions)
    for (let at = 0; 3 * at < part.length; at++) {
      const place = vec3At(part, at);
      filled.add(keyOf(...cellsOf(place)));
      if (count++ % step === 0) asked.push(place);
    }
  const has = (place: Vec3): boolean => {
    const [x, y, z] = cellsOf(place);
    if (!(Math.min(x, y, z) >= 0 && Math.max(x, y, z) < across)) return false;
    return NEAR.some((by) => filled.has(keyOf(...add([x, y, z], by))));
  };
  return { has, asked };
});

/** A cell and those around it. */
const NEAR: readonly Vec3[] = [0, -1, 1].flatMap((x) =>
  [0, -1, 1].flatMap((y) => [0, -1, 1].map((z): Vec3 => [x, y, z])),
);

function shareOf(asked: readonly Vec3[], matrix: Mat4, { has }: MeshCells): number {
  const there = asked.filter((place) => has(transformPoint(matrix, place))).length;
  return there / asked.length;
}
