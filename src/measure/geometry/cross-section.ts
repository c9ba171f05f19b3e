import type { SkinnedPart } from '../../rig/types.js';
import { add, direction, length, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { isBranching, movingChildren } from '../skeleton/body-root.js';
import { boneDirection, boneLengths } from '../skeleton/bones.js';
import { skinMass } from '../skin/skin-mass.js';
import { bindRow } from './bind-mesh.js';
import { surfaceGrid } from './bind-surface.js';
import { Cuts, cutTriangles, onPlane, type Plane, planeAt } from './cut-triangles.js';
import { type Outline, outlines } from './outlines.js';
import { CLUSTER, HALF, type SurfaceGrid } from './surface-clusters.js';

/** The form about a joint, cut across its bones. Bind pose, world space and units. */
export interface CrossSection extends Pick<Outline, 'area' | 'radius' | 'encloses'> {
  /** Middle of its area, and the joint's distance from that. */
  readonly centre: Vec3;
  readonly off: number;
  /** The outline, closed: the last point is the first. */
  readonly outline: readonly Vec3[];
}

/** A joint must have this much of the weight round an outline for that to be its own form. */
const OWN_WEIGHT = 0.25;
/** The same at a fork: where a finger leaves the palm, the cut shows the palm. */
const OWN_WEIGHT_AT_FORK = 0.4;
/** How far a form may go from its joint, in lengths of the longest bone there. */
const REACH = 2;
/** Two unit vectors over a quarter turn apart have a shorter mean: no plane is across both. */
const LEAST_MEAN = Math.SQRT1_2 - 1e-9;

/**
 * Cuts the mesh about a joint by the plane through it across the mean of its bone directions, and
 * takes the closed outline that encloses it (of several the one it is nearest the middle of: an arm in
 * its sleeve), else the nearest. Null when the joint has too small a share in that outline, when there
 * is none, or when a nearer form of its own is open there: what is not closed has no middle.
 *
 * Whole outlines are cut, and the joint's share is measured afterwards. Cutting only the triangles
 * that the joint, its parent and its children move most left over half of all outlines open on
 * public rigs, where one ring of skin often belongs to five joints.
 */
export function crossSection(facts: Facts, joint: number): CrossSection | null {
  const cut = cutAbout(facts, joint);
  if (cut === null) return null;
  const { plane, outline } = cut;
  const { area, radius, encloses } = outline;
  const [x, y] = outline.centre;
  return {
    centre: onPlane(plane, x, y),
    area,
    radius,
    off: Math.sqrt(x * x + y * y),
    encloses,
    // Cut once more: few sections are shown.
    get outline() {
      const again = cutAbout(facts, joint);
      if (again === null) return [];
      const { ends } = again.cuts;
      const { pieces } = again.outline;
      return [...pieces, ...pieces.subarray(0, 1)].map((piece) =>
        onPlane(plane, ends[4 * piece] ?? 0, ends[4 * piece + 1] ?? 0),
      );
    },
  };
}

/** The joint's outline in a plane. The cuts are only good until the next are made. */
function cutAbout(
  facts: Facts,
  joint: number,
): { plane: Plane; cuts: Cuts; outline: Outline } | null {
  const place = bindPose(facts).places[joint];
  const normal = meanBone(facts, joint);
  if (place === undefined || normal === null) return null;
  const plane = planeAt(place, normal);
  const cuts = roomForCuts(facts);
  cutNear(surfaceGrid(facts), plane, REACH * longestBone(facts, joint), cuts);
  const { closed, open } = outlines(cuts);
  const best = closed.reduce<Outline | null>(nearer, null);
  const parent = facts.rig.joints.parent[joint] ?? -1;
  const share = parent !== -1 && isBranching(facts, parent) ? OWN_WEIGHT_AT_FORK : OWN_WEIGHT;
  const isOwn = (outline: Outline): boolean =>
    meanWeight(facts, joint, cuts, outline.pieces) >= share;
  if (best === null || !isOwn(best)) return null;
  if (open.some((run) => run.away < best.away && isOwn(run))) return null;
  return { plane, cuts, outline: best };
}

/** Room for the cuts of one joint after the other. */
const roomForCuts = fact(() => new Cuts());

/** The one that goes round the joint, of two the one it is nearer the middle of; else the nearer one. */
function nearer(best: Outline | null, other: Outline): Outline {
  if (best === null) return other;
  if (best.encloses !== other.encloses) return best.encloses ? best : other;
  const far = ({ encloses, centre: [x, y], radius, away }: Outline): number =>
    encloses ? Math.hypot(x, y) / radius : away;
  return far(other) < far(best) ? other : best;
}

/** What rounding may put a box off a plane that it touches. Of their distance. */
const ROUNDING = 1e-9;

/** Cuts the triangles of nodes whose box meets the plane, within `reach` of its origin. */
function cutNear(grid: SurfaceGrid, plane: Plane, reach: number, cuts: Cuts): void {
  const { nodes, next, start, order } = grid;
  const [ox = 0, oy = 0, oz = 0, nx = 0, ny = 0, nz = 0] = plane;
  cuts.count = 0;
  for (let node = 0; node < next.length; ) {
    const at = CLUSTER * node;
    const dx = (nodes[at] ?? 0) - ox;
    const dy = (nodes[at + 1] ?? 0) - oy;
    const dz = (nodes[at + 2] ?? 0) - oz;
    const hx = (nodes[at + HALF] ?? 0) + ROUNDING * Math.abs(dx);
    const hy = (nodes[at + HALF + 1] ?? 0) + ROUNDING * Math.abs(dy);
    const hz = (nodes[at + HALF + 2] ?? 0) + ROUNDING * Math.abs(dz);
    const half = hx * Math.abs(nx) + hy * Math.abs(ny) + hz * Math.abs(nz);
    const px = Math.max(0, Math.abs(dx) - hx);
    const py = Math.max(0, Math.abs(dy) - hy);
    const pz = Math.max(0, Math.abs(dz) - hz);
    const after = next[node] ?? next.length;
    if (
      Math.abs(dx * nx + dy * ny + dz * nz) > half ||
      px * px + py * py + pz * pz > reach * reach
    ) {
      node = after;
      continue;
    }
    node++;
    if (node === after)
      cutTriangles(grid, order, start[node - 1] ?? 0, start[node] ?? 0, plane, cuts);
  }
}

/**
 * Mean direction of the bones at a joint: the one from its parent, where that moves skin, and the
 * mean of those to its children that move skin, themselves or below (to all where none does).
 */
function meanBone(facts: Facts, joint: number): Vec3 | null {
  const { parent, children } = facts.rig.joints;
  const above = parent[joint] ?? -1;
  const moving = movingChildren(facts, joint);
  const below = moving.length > 0 ? moving : (children[joint] ?? []);
  const into = skinMass(facts).moves[above] === 1 ? boneDirection(facts, above, joint) : null;
  const out = meanDirection(below.map((child) => boneDirection(facts, joint, child)));
  return meanDirection([into, out]);
}

function longestBone(facts: Facts, joint: number): number {
  const lengths = boneLengths(facts);
  const below = facts.rig.joints.children[joint] ?? [];
  return below.reduce((most, end) => Math.max(most, lengths[end] ?? 0), lengths[joint] ?? 0);
}

function meanDirection(directions: readonly (Vec3 | null)[]): Vec3 | null {
  const some = directions.filter((direction) => direction !== null);
  const sum = some.reduce(add, [0, 0, 0]);
  return length(sum) > LEAST_MEAN * some.length ? direction(sum) : null;
}

/** Mean weight of a joint round an outline, by piece. */
function meanWeight(facts: Facts, joint: number, cuts: Cuts, pieces: Int32Array): number {
  const { parts, skins } = facts.rig;
  const { triangles } = surfaceGrid(facts);
  const { offsets } = bindRow(facts);
  const corners = new Uint32Array(3 * pieces.length);
  for (let i = 0; i < corners.length; i++) {
    const triangle = cuts.triangles[pieces[Math.floor(i / 3)] ?? 0] ?? 0;
    corners[i] = triangles[3 * triangle + (i % 3)] ?? 0;
  }
  const sums = parts.map((part, index) => {
    const slot = skins[part.skin]?.slotOfJoint[joint] ?? -1;
    return slot === -1 ? 0 : sumWeights(part, slot, corners, offsets[index] ?? 0);
  });
  return sums.reduce((total, sum) => total + sum, 0) / corners.length;
}

/** Sum of a slot's weights at those corners that belong to a part. */
function sumWeights(
  { slots, weights, influences, vertexCount }: SkinnedPart,
  slot: number,
  corners: Uint32Array,
  firstVertex: number,
): number {
  let sum = 0;
  for (let i = 0; i < corners.length; i++) {
    const vertex = (corners[i] ?? 0) - firstVertex;
    if (vertex < 0 || vertex >= vertexCount) continue;
    for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
      const weight = weights[k] ?? 0;
      if (slots[k] !== slot || !(weight > 0)) continue;
      sum += weight;
      break;
    }
  }
  return sum;
}
