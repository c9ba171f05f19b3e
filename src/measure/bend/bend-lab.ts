import { cross, direction, scale, type Vec3 } from '../../rig/vec3.js';
import { ALL_AXES, type Axis, type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bindPose } from '../pose/bind-pose.js';
import { aimAxisOf } from '../skeleton/chains.js';
import { conventions } from '../skeleton/conventions.js';
import { axisWorld } from '../skeleton/frames.js';
import { type BendMeasures, bendMeasurer } from './bend-measures.js';
import { bendMesh } from './bend-mesh.js';
import { bendRegions } from './bend-regions.js';
import { type BendZone, ZoneBuilder } from './bend-zone.js';

/*
 * What linear blend skinning does to a limb, and what the laboratory therefore measures.
 *
 * Joint j and all joints below it turn rigidly about j's place by T; all others stay. In the bind
 * pose every skinning matrix is the same, so a vertex whose joints at or below j have the summed
 * share s goes to p' = (1 - s) p + s T p, taken from j's place. Where s is 0 or 1 skin keeps its shape.
 *
 * Take a limb along x with a cross-section of area S, its centroid at height y0 over the joint, and a
 * share s(x) that rises from 0 to 1 over a stretch of length L. Write c = cos of the angle.
 *
 * Twist, about x. A cross-section is scaled by |1 - s + s e^(i angle)|, its area by
 * 1 - 2 s (1 - s) (1 - c). Over a linear s the mean of s (1 - s) is 1/6, so
 *
 *   kept = 1 - (1 - c) / 3 = (2 + c) / 3.
 *
 * At a half turn a third is left over the stretch, nothing in its middle.
 *
 * Bend, about z. With w = x + i y the map is w (1 + s b), b = e^(i angle) - 1. Its Jacobian is
 *
 *   |1 + s b|^2 + s' Re(conj(b w) (1 + s b)) = 1 - 2 s (1 - s) (1 - c) - s' ((1 - 2s) (1 - c) x + y sin).
 *
 * s' (1 - 2s) is the slope of s (1 - s), which is 0 at both ends: by parts, the x term integrates to
 * + (1 - c) times the integral of s (1 - s). The y term gives - S y0 sin. So over a linear s
 *
 *   kept = 1 - (1 - c) / 6 - (y0 / L) sin,
 *
 * wherever along the limb the joint is. At 60 degrees a limb about its joint loses 8.3 %, and no
 * s(x) makes that more than 12.5 %; a joint off the middle loses in one direction what it gains in
 * the other, the more the narrower the blend. That is why the limit is a third. (Derived here; the
 * loss itself is common knowledge of the trade, from memory: J. P. Lewis, M. Cordner, N. Fong 2000,
 * "Pose Space Deformation", shows both cases.)
 *
 * The volume is that of the deforming triangles, closed by flat caps over the rings where the zone
 * ends. Those rings stay or turn about the joint, so their cones from the joint keep their volume:
 * the difference of after and before is exactly what the whole solid loses.
 */

/** The turn each joint is given, both ways. Degrees. */
export const BEND_DEGREES = 60;
/** Shorter edges do not count as stretched. Share of size. */
const SHORTEST_EDGE = 1e-3;

/** One turn of one joint by `BEND_DEGREES`. */
interface Bend extends BendMeasures {
  /** Of the rig's conventions, or of the joint's frame where there are none. */
  readonly axis: 'up' | 'side' | 'Y' | 'Z';
  readonly sign: 1 | -1;
  /** The same axis by its letter, in the frame of the joint, with its sign. */
  readonly local: Axis;
  /** The axis with its sign: the turn is right-handed about it. World space, unit length. */
  readonly about: Vec3;
}

export interface BentJoint {
  readonly joint: number;
  /** Triangles that change their shape. */
  readonly triangles: number;
  readonly bends: readonly Bend[];
  /** The bend with least volume kept; where there is no volume, with most triangles inverted. */
  readonly worst: Bend;
}

interface BendLab {
  /** Joints that hang on another and whose turn changes the shape of skin, in joint order. */
  readonly joints: readonly BentJoint[];
  /** Joints that hang on another and move skin, but none that changes its shape. */
  readonly rigid: number;
  /** Whether the skin hangs on joints too far apart to be bent joint by joint. */
  readonly tooMany: boolean;
}

/** Turns every skin-moving joint that hangs on another, both ways about its up and side axes. */
export const bendLab = fact((facts): BendLab => {
  const { turns: isTurned, tooMany } = bendRegions(facts);
  const builder = new ZoneBuilder(bendMesh(facts));
  const joints: BentJoint[] = [];
  let rigid = 0;
  for (let joint = 0; joint < facts.rig.joints.count && !tooMany; joint++) {
    const bent = bentAt(facts, joint, placeOf(facts, joint), builder);
    if (bent === null) rigid += isTurned[joint] ?? 0;
    else joints.push(bent);
  }
  return { joints, rigid, tooMany };
});

/**
 * Turns one joint both ways about its up and side axes, as if it were at a place; null where that changes
 * the shape of no skin.
 */
export function bentAt(
  facts: Facts,
  joint: number,
  place: Vec3,
  builder = new ZoneBuilder(bendMesh(facts)),
): BentJoint | null {
  const zone = zoneOf(facts, joint, builder, place);
  if (zone.corners.length === 0) return null;
  const turns = bendAxes(facts, joint).flatMap(({ axis, local: { index, sign: own }, along }) =>
    ([1, -1] as const).map((sign) => {
      const local: Axis = { index, sign: own === sign ? 1 : -1 };
      return { axis, sign, local, about: scale(along, sign) };
    }),
  );
  const measure = bendMeasurer(zone, BEND_DEGREES, SHORTEST_EDGE * size(facts));
  const bends = turns.map((turn): Bend => ({ ...turn, ...measure(turn.about) }));
  const [worst] = [...bends].sort(
    (a, b) =>
      (a.volumeKept ?? 1) - (b.volumeKept ?? 1) || b.inverted - a.inverted || b.stretch - a.stretch,
  );
  return worst === undefined ? null : { joint, triangles: zone.corners.length / 3, bends, worst };
}

/** The skin that changes its shape when a joint turns. One builder serves many joints in turn. */
export function zoneOf(
  facts: Facts,
  joint: number,
  builder = new ZoneBuilder(bendMesh(facts)),
  place = placeOf(facts, joint),
): BendZone {
  const { start, triangles, branchEnd } = bendRegions(facts);
  const candidates = triangles.subarray(start[joint], start[joint + 1]);
  return builder.build(joint, branchEnd, place, candidates);
}

function placeOf(facts: Facts, joint: number): Vec3 {
  return bindPose(facts).places[joint] ?? [0, 0, 0];
}

interface NamedAxis extends Pick<Bend, 'axis' | 'local'> {
  /** World space, unit length. */
  readonly along: Vec3;
}

/** What a joint is bent about: up and side = aim x up, or Y and Z of its frame. */
export function bendAxes(facts: Facts, joint: number): readonly [NamedAxis, NamedAxis] {
  const { up } = conventions(facts);
  const aim = aimAxisOf(facts, joint);
  if (up !== null && aim !== null) {
    const along = axisWorld(facts, joint, up);
    const side = direction(cross(axisWorld(facts, joint, aim), along));
    if (side !== null)
      return [
        { axis: 'up', local: up, along },
        { axis: 'side', local: crossed(aim, up), along: side },
      ];
  }
  return [
    { axis: 'Y', local: PLUS_Y, along: axisWorld(facts, joint, PLUS_Y) },
    { axis: 'Z', local: PLUS_Z, along: axisWorld(facts, joint, PLUS_Z) },
  ];
}

const PLUS_Y: Axis = { index: 1, sign: 1 };
const PLUS_Z: Axis = { index: 2, sign: 1 };

/** The cross product of two different axes of a right-handed frame. */
function crossed(a: Axis, b: Axis): Axis {
  const isCyclic = (a.index + 1) % 3 === b.index;
  const sign = isCyclic === (a.sign === b.sign) ? 1 : -1;
  const isThird = ({ index }: Axis): boolean => index !== a.index && index !== b.index;
  return ALL_AXES.find((axis) => isThird(axis) && axis.sign === sign) ?? PLUS_Y;
}
