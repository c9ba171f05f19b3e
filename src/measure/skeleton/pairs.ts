import { groupBy } from '../../rig/group-by.js';
import { distance, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { midline } from '../geometry/midline.js';
import { leftSign, mappedPairs, mappedSides } from '../names/humanoid.js';
import { type NamedSide, type Side, sideOfName } from '../names/sides.js';
import { bindPose } from '../pose/bind-pose.js';

export interface Pair {
  readonly left: number;
  readonly right: number;
  readonly by: 'mapping' | 'name' | 'place';
}

export interface Pairs {
  readonly list: readonly Pair[];
  /** Partner of each joint, -1 for none. */
  readonly partner: Int32Array;
  /** Side of each joint: its own, else that of the joint above it; null in the middle. */
  readonly side: readonly (Side | null)[];
  /** What the names tell, where a pair of the rig proves that they tell sides at all. */
  readonly named: readonly (NamedSide | null)[];
}

/** Joints nearer to the midline than this part of the tolerance are on it. */
const LEAST_OFFSET = 1 / 6;

/** Two joints mirror each other when they lie within this of it, relative to size. */
export const PAIR_TOLERANCE = 0.015;

/**
 * Pairs of left and right joints: by the asset's humanoid mapping, else by the sides in their names,
 * else, on a symmetric mesh, by mirrored place at the same depth. What the mapping puts in the middle
 * has no partner, and no name or place goes against the side it tells.
 */
export const pairs = fact((facts): Pairs => {
  const { joints } = facts.rig;
  const read = joints.names.map((name, joint) =>
    joints.named[joint] === true ? sideOfName(name) : null,
  );
  const found = new Found(joints.count);
  const { partner, list } = found;
  const mapped = mappedSides(facts);
  for (const { left, right } of mappedPairs(facts)) found.add(left, right, 'mapping');
  const believed = read.map((item, joint) => {
    return (mapped[joint] ?? item?.side) === item?.side ? item : null;
  });
  pairByStem(found, believed, (item) => item.stem);
  pairByStem(found, believed, (item) => item.looseStem);
  const proved = list.some((pair) => pair.by === 'name' || namesPart(read, pair));
  const half = midline(facts);
  const sideOf = (items: readonly (NamedSide | null)[]): (Side | 'middle' | null)[] =>
    items.map((item, joint) => mapped[joint] ?? item?.side ?? null);
  if (half.symmetric) pairByPlace(facts, found, sideOf(read));
  list.sort((a, b) => Math.min(a.left, a.right) - Math.min(b.left, b.right));
  const named = read.map((item, joint) => {
    if (item === null || !proved) return null;
    return item.apart || read[partner[joint] ?? -1] != null ? item : null;
  });
  const { places } = bindPose(facts);
  const isAloneInMiddle = (joint: number): boolean => {
    const off = Math.abs((places[joint]?.[0] ?? 0) - half.x);
    return partner[joint] === -1 && off <= PAIR_TOLERANCE * size(facts);
  };
  // A name alone does not put a joint on a side: a tail called "tail_l" stands in the middle.
  const sides = named.map((item, joint) => (isAloneInMiddle(joint) ? null : item));
  // Numbered vertebrae (L1, L2) are no sides either.
  const spoken = named.map((item, joint) =>
    item?.numbered === true && isAloneInMiddle(joint) ? null : item,
  );
  return { list, partner, side: spreadSides(list, sideOf(sides), joints.parent), named: spoken };
});

/** Pairs as they are found. */
class Found {
  readonly list: Pair[] = [];
  readonly partner: Int32Array;

  constructor(joints: number) {
    this.partner = new Int32Array(joints).fill(-1);
  }

  add(left: number, right: number, by: Pair['by']): void {
    this.partner[left] = right;
    this.partner[right] = left;
    this.list.push({ left, right, by });
  }
}

/** Whether the names of a pair tell opposite sides. */
function namesPart(read: readonly (NamedSide | null)[], { left, right }: Pair): boolean {
  const [a, b] = [read[left], read[right]];
  return a != null && b != null && a.side !== b.side;
}

function pairByStem(
  found: Found,
  read: readonly (NamedSide | null)[],
  key: (item: NamedSide) => string,
): void {
  const free = read.flatMap((item, joint) =>
    item === null || found.partner[joint] !== -1 ? [] : [{ joint, item }],
  );
  for (const group of groupBy(free, ({ item }) => key(item)).values()) {
    const left = group.filter(({ item }) => item.side === 'left');
    const right = group.filter(({ item }) => item.side === 'right');
    // With as many on both sides their order tells them apart (numbered fingers); else nothing does.
    if (left.length !== right.length) continue;
    for (const [at, { joint }] of left.entries())
      found.add(joint, right[at]?.joint ?? joint, 'name');
  }
}

function pairByPlace(facts: Facts, found: Found, told: readonly (Side | 'middle' | null)[]): void {
  const { places } = bindPose(facts);
  const { depth } = facts.rig.joints;
  const { partner } = found;
  const { x } = midline(facts);
  const [sign, tolerance] = [leftSign(facts), PAIR_TOLERANCE * size(facts)];
  /** How far to the left of the plane. */
  const leftward = (joint: number): number => sign * ((places[joint]?.[0] ?? x) - x);
  const free = places.flatMap((_, joint) => {
    if (partner[joint] !== -1 || told[joint] === 'middle') return [];
    return Math.abs(leftward(joint)) > tolerance * LEAST_OFFSET ? [joint] : [];
  });
  // Partners stand at the same height and depth: only joints in the same and the next rows are held
  // against each other.
  const row = (joint: number): number =>
    Math.floor((places[joint]?.[1] ?? 0) / Math.max(tolerance, 1e-30));
  const rights = groupBy(
    free.filter((joint) => leftward(joint) < 0),
    (joint) => `${depth[joint]}/${row(joint)}`,
  );
  for (const left of free) {
    const place = places[left];
    if (place === undefined || leftward(left) < 0) continue;
    const mirrored: Vec3 = [2 * x - place[0], place[1], place[2]];
    // Near the middle two joints must be nearer to mirroring than to being one.
    let [best, least] = [-1, Math.min(tolerance, leftward(left) / 2)];
    const near = [-1, 0, 1].flatMap(
      (step) => rights.get(`${depth[left]}/${row(left) + step}`) ?? [],
    );
    for (const right of near) {
      if (partner[right] !== -1) continue;
      // A mapping or names that tell the same side, or the other way round, are believed.
      if (told[left] === 'right' || told[right] === 'left') continue;
      const gap = distance(places[right] ?? mirrored, mirrored);
      if (gap < least) [best, least] = [right, gap];
    }
    if (best !== -1) found.add(left, best, 'place');
  }
}

function spreadSides(
  list: readonly Pair[],
  told: readonly (Side | 'middle' | null)[],
  parent: Int32Array,
): (Side | null)[] {
  const side: (Side | null)[] = told.map((item) => (item === 'middle' ? null : item));
  for (const pair of list) {
    side[pair.left] = 'left';
    side[pair.right] = 'right';
  }
  side.forEach((own, joint) => {
    const above = parent[joint] ?? -1;
    if (own === null && above !== -1 && told[joint] !== 'middle') side[joint] = side[above] ?? null;
  });
  return side;
}
