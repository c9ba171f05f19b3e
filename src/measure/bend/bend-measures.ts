import { radians, type Vec3 } from '../../rig/vec3.js';
import { crossAt, normalAt, spanSquared, squareOf, turnPoints } from './bend-points.js';
import type { BendZone } from './bend-zone.js';

/** What one turn of a joint does to the skin around it. */
export interface BendMeasures {
  /** Volume after / before of the zone's solids; null where none closes. 1 is all of it. */
  readonly volumeKept: number | null;
  /** Triangles that end up facing the other way. */
  readonly inverted: number;
  /** Length after / before of the edge that stretches most; 1 when none does. */
  readonly stretch: number;
}

/** A solid with less volume over its area to the power 3/2 is a sheet (a ball has 0.094). */
const SHEET = 0.003;
/** A triangle with less area over its longest edge squared is too thin to face a side. */
const SLIVER = 1e-4;

/**
 * Measures turns of the joint a zone was built for, each by `degrees` about an axis (a unit
 * vector). What the turns share is made once.
 *
 * @param shortest Edges shorter than this do not count as stretched. World units.
 */
export function bendMeasurer(
  zone: BendZone,
  degrees: number,
  shortest: number,
): (axis: Vec3) => BendMeasures {
  const rest = restOf(zone, radians(degrees));
  return (axis) => {
    const posed = turnPoints(zone.places, zone.shares, axis, degrees);
    const { inverted, volume } = turnTriangles(zone, rest, posed, axis);
    const stretch = longestStretch(zone, posed, shortest);
    return { volumeKept: keptOf(rest, volume), inverted, stretch };
  };
}

/** A zone in the bind pose. */
interface ZoneAtRest {
  /** Twice the area of each triangle, along its normal; 0 0 0 for a sliver. */
  readonly normals: Float64Array;
  /** Cosine and sine of each triangle's turn: the mean share of its vertices in the whole. */
  readonly turns: Float64Array;
  /** Volume of each solid, 0 for a sheet. */
  readonly volume: Float64Array;
}

function restOf(zone: BendZone, angle: number): ZoneAtRest {
  const { corners, shares, places, solids } = zone;
  const normals = new Float64Array(corners.length);
  const turns = new Float64Array((2 * corners.length) / 3);
  const volume = ringCones(zone, places);
  const area = new Float64Array(solids.count);
  const normal = new Float64Array(3);
  for (let triangle = 0; 3 * triangle < corners.length; triangle++) {
    const a = corners[3 * triangle] ?? 0;
    const b = corners[3 * triangle + 1] ?? 0;
    const c = corners[3 * triangle + 2] ?? 0;
    const cone = normalAt(places, 3 * a, 3 * b, 3 * c, normal);
    const squared = squareOf(normal);
    const longest = Math.max(
      spanSquared(places, 3 * a, 3 * b),
      spanSquared(places, 3 * b, 3 * c),
      spanSquared(places, 3 * c, 3 * a),
    );
    if (squared > (SLIVER * longest) ** 2) normals.set(normal, 3 * triangle);
    const turn = (((shares[a] ?? 0) + (shares[b] ?? 0) + (shares[c] ?? 0)) / 3) * angle;
    turns[2 * triangle] = Math.cos(turn);
    turns[2 * triangle + 1] = Math.sin(turn);
    const solid = solids.ofTriangle[triangle] ?? -1;
    if (solid === -1) continue;
    volume[solid] = (volume[solid] ?? 0) + cone / 6;
    area[solid] = (area[solid] ?? 0) + Math.sqrt(squared) / 2;
  }
  volume.forEach((value, solid) => {
    if (!(Math.abs(value) > SHEET * (area[solid] ?? 0) ** 1.5)) volume[solid] = 0;
  });
  return { normals, turns, volume };
}

/**
 * The posed volume of each solid, and how many triangles face against where they would if they
 * turned rigidly by their share (Rodrigues' rotation formula on the normal).
 */
function turnTriangles(
  zone: BendZone,
  { normals, turns }: ZoneAtRest,
  posed: Float64Array,
  [ax, ay, az]: Vec3,
): { inverted: number; volume: Float64Array } {
  const { corners, solids } = zone;
  const volume = ringCones(zone, posed);
  const now = new Float64Array(3);
  let inverted = 0;
  for (let triangle = 0; 3 * triangle < corners.length; triangle++) {
    const a = 3 * (corners[3 * triangle] ?? 0);
    const b = 3 * (corners[3 * triangle + 1] ?? 0);
    const c = 3 * (corners[3 * triangle + 2] ?? 0);
    const cone = normalAt(posed, a, b, c, now);
    const solid = solids.ofTriangle[triangle] ?? -1;
    if (solid !== -1) volume[solid] = (volume[solid] ?? 0) + cone / 6;
    const x = normals[3 * triangle] ?? 0;
    const y = normals[3 * triangle + 1] ?? 0;
    const z = normals[3 * triangle + 2] ?? 0;
    const nx = now[0] ?? 0;
    const ny = now[1] ?? 0;
    const nz = now[2] ?? 0;
    const cosine = turns[2 * triangle] ?? 1;
    const sine = turns[2 * triangle + 1] ?? 0;
    const along = (ax * x + ay * y + az * z) * (ax * nx + ay * ny + az * nz);
    const across = (ay * z - az * y) * nx + (az * x - ax * z) * ny + (ax * y - ay * x) * nz;
    const agree = cosine * (x * nx + y * ny + z * nz) + sine * across + (1 - cosine) * along;
    if (agree < -SLIVER * (x * x + y * y + z * z)) inverted++;
  }
  return { inverted, volume };
}

function keptOf(rest: ZoneAtRest, after: Float64Array): number | null {
  let [kept, whole] = [0, 0];
  rest.volume.forEach((volume, solid) => {
    // A skin that is stored inside out has a volume all the same.
    kept += Math.sign(volume) * (after[solid] ?? 0);
    whole += Math.abs(volume);
  });
  return whole > 0 ? kept / whole : null;
}

/**
 * Per solid: the signed cones, from the joint, of the triangles that close its rings. With those of
 * its own triangles they are its volume; as it is closed, the sum is the same from anywhere.
 */
function ringCones({ solids }: BendZone, p: Float64Array): Float64Array {
  const cones = new Float64Array(solids.count);
  const middle = new Float64Array(3 * solids.solidOfRing.length);
  const swept = new Float64Array(3 * solids.solidOfRing.length);
  const around = new Float64Array(3);
  solids.ringOf.forEach((ring, edge) => {
    const from = 3 * (solids.borders[2 * edge] ?? 0);
    const to = 3 * (solids.borders[2 * edge + 1] ?? 0);
    const share = 0.5 / (solids.edgesOfRing[ring] ?? 1);
    crossAt(p, to, from, around);
    for (let k = 0; k < 3; k++) {
      const at = 3 * ring + k;
      middle[at] = (middle[at] ?? 0) + share * ((p[from + k] ?? 0) + (p[to + k] ?? 0));
      swept[at] = (swept[at] ?? 0) + (around[k] ?? 0);
    }
  });
  solids.solidOfRing.forEach((solid, ring) => {
    if (solid === -1) return;
    for (let at = 3 * ring; at < 3 * ring + 3; at++)
      cones[solid] = (cones[solid] ?? 0) + ((middle[at] ?? 0) * (swept[at] ?? 0)) / 6;
  });
  return cones;
}

function longestStretch(zone: BendZone, posed: Float64Array, shortest: number): number {
  const { edges, places } = zone;
  let most = 1;
  for (let i = 0; i < edges.length; i += 2) {
    const a = 3 * (edges[i] ?? 0);
    const b = 3 * (edges[i + 1] ?? 0);
    const before = spanSquared(places, a, b);
    if (before > shortest * shortest) most = Math.max(most, spanSquared(posed, a, b) / before);
  }
  return Math.sqrt(most);
}
