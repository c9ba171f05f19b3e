import { bendMiddle } from '../../measure/bend/bend-middle.js';
import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { surfaceGrid } from '../../measure/geometry/bind-surface.js';
import { crossSection } from '../../measure/geometry/cross-section.js';
import { midline } from '../../measure/geometry/midline.js';
import { INSIDE, SIDE_ONLY, windingNumbers } from '../../measure/geometry/winding-number.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { pairs } from '../../measure/skeleton/pairs.js';
import { skinCentre } from '../../measure/skin/skin-centre.js';
import { distance, type Vec3 } from '../../rig/vec3.js';

/** Where joints belong by what a rule measures, in the bind pose and world space; or why nothing shows it. */
export type BetterPlaces = ReadonlyMap<number, Vec3> | { readonly why: string };

/** Takes all joints that one finding lists; gives what can be done, the best first. */
type Placer = (facts: Facts, joints: readonly number[]) => readonly BetterPlaces[];

export const PLACERS: Readonly<Record<string, Placer>> = {
  'chain.length': apartPlaces,
  'place.middle': (facts, joints) => [
    each(facts, joints, (joint) => crossSection(facts, joint)?.centre, NO_SECTION),
  ],
  'place.inside': (facts, joints) => [
    each(facts, joints, (joint) => placeInside(facts, joint), NOT_INSIDE),
  ],
  'place.midline': (facts, joints) => [
    each(facts, joints, (joint) => placeOnMidline(facts, joint), ON_ITS_SIDE),
  ],
  'place.pair': (facts, joints) => [mirroredPlaces(facts, joints)],
};

const NO_SECTION = 'the form has no closed section there to find a middle of';
const NOT_INSIDE = 'no place inside the mesh is near that shows where the form bends';

const ON_ITS_SIDE =
  'the skin of it lies on the same side; turn the figure to face along Z, or pair the joint';
const ON_ANOTHER = 'there it would stand on the joint next to it';

function each(
  facts: Facts,
  joints: readonly number[],
  placeFor: (joint: number) => Vec3 | null | undefined,
  why = '',
): BetterPlaces {
  const places = new Map<number, Vec3>();
  for (const joint of joints) {
    const place = placeFor(joint);
    if (place == null) return { why };
    if (!isApart(facts, joint, place) && isApart(facts, joint, placeOf(facts, joint)))
      return { why: ON_ANOTHER };
    places.set(joint, keptInMiddle(facts, joint, place));
  }
  return places;
}

/** The middle of its section, as for a joint inside; of the skin that bends there; of all its skin. */
function placeInside(facts: Facts, joint: number): Vec3 | undefined {
  const middles = [
    crossSection(facts, joint)?.centre,
    bendMiddle(facts, joint),
    skinCentre(facts, joint),
  ];
  const isInside = (place: Vec3): boolean => {
    const [winding = 0] = windingNumbers(surfaceGrid(facts), [...place], SIDE_ONLY);
    return Math.abs(winding) > INSIDE;
  };
  return middles.flatMap((place) => (place == null ? [] : [place])).find(isInside);
}

/** Null for a joint whose own skin is to the same side, as in a figure that lies along X. */
function placeOnMidline(facts: Facts, joint: number): Vec3 | null {
  const [x, y, z] = placeOf(facts, joint);
  const { x: middle } = midline(facts);
  const centre = skinCentre(facts, joint);
  const isWithSkin = centre !== null && (centre[0] - middle) / (x - middle) >= WITH_SKIN;
  return isWithSkin ? null : [middle, y, z];
}

/** Skin that is off the midline by this share of its joint's distance is where the joint is. */
const WITH_SKIN = 1 / 3;

/**
 * Of joints in one place: the lower one goes to where the skin bends about it, or the upper one to where it
 * bends about that; a topmost joint, which bends nothing, to the middle of its own skin.
 */
function apartPlaces(facts: Facts, joints: readonly number[]): readonly BetterPlaces[] {
  const { parent } = facts.rig.joints;
  const above = parent[joints[0] ?? -1] ?? -1;
  const isTop = (parent[above] ?? -1) === -1;
  const places: [number, Vec3 | null][] = [
    ...joints.map((joint): [number, Vec3 | null] => [joint, bendMiddle(facts, joint)]),
    [above, isTop ? skinCentre(facts, above) : bendMiddle(facts, above)],
  ];
  // Where several lie on their parent, each moved alone would leave the others there.
  const able = joints.length === 1 ? places : places.slice(-1);
  const found = able.flatMap(([joint, place]) =>
    place !== null && isApart(facts, joint, place)
      ? [new Map([[joint, keptInMiddle(facts, joint, place)]])]
      : [],
  );
  return found.length > 0 ? found : [{ why: NOT_APART }];
}

const NOT_APART =
  'the skin of neither shows where else one of them should be; remove one and give its weights to the other, or bind the mesh again';

/** Shorter bones are still bones without a length to the eye. Share of size. */
const LEAST_BONE = 0.005;

/** Whether a place is away from all joints that a joint has bones with. */
function isApart(facts: Facts, joint: number, place: Vec3): boolean {
  const { parent, children } = facts.rig.joints;
  const others = [parent[joint] ?? -1, ...(children[joint] ?? [])].filter((other) => other !== -1);
  return others.every((other) => distance(placeOf(facts, other), place) > LEAST_BONE * size(facts));
}

/**
 * One side of a limb is right, and the other gets its mirrored places: the side whose joints are nearer to
 * where the skin bends, all pairs together, since a limb is mostly off as a whole.
 */
function mirroredPlaces(facts: Facts, joints: readonly number[]): BetterPlaces {
  const found = pairs(facts).list.filter(
    ({ left, right }) => joints.includes(left) && joints.includes(right),
  );
  const offOf = (side: 'left' | 'right'): number =>
    found.reduce((sum, pair) => sum + offBend(facts, pair[side]), 0);
  const [wrong, right] =
    offOf('left') > offOf('right') ? (['left', 'right'] as const) : (['right', 'left'] as const);
  const places = found.map((pair): [number, Vec3] => {
    const [x, y, z] = placeOf(facts, pair[right]);
    return [pair[wrong], [2 * midline(facts).x - x, y, z]];
  });
  return new Map(places);
}

function offBend(facts: Facts, joint: number): number {
  const middle = crossSection(facts, joint)?.centre ?? bendMiddle(facts, joint);
  return middle === null ? 0 : distance(placeOf(facts, joint), middle);
}

/** Nearer to the midline than this, a joint is on it. Share of size. */
const ON_MIDLINE = 0.001;

/** What stands on the midline of a symmetric form stays on it, however its triangles are laid. */
function keptInMiddle(facts: Facts, joint: number, place: Vec3): Vec3 {
  const { x, symmetric } = midline(facts);
  const isOn = Math.abs(placeOf(facts, joint)[0] - x) < ON_MIDLINE * size(facts);
  return symmetric && isOn ? [x, place[1], place[2]] : place;
}

function placeOf(facts: Facts, joint: number): Vec3 {
  return bindPose(facts).places[joint] ?? [0, 0, 0];
}
