import { groupBy } from '../../rig/group-by.js';
import { distance, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { midline } from '../geometry/midline.js';
import { leftSign, mappedPairs, mappedSides } from '../names/humanoid.js';
import { type NamedSide, type Side, sideOfName } from '../names/sides.js';
import { bindPose } from '../pose/bind-pose.js';

/** A left joint and its right one. */
export interface Pair {
  readonly left: number;
  readonly right: number;
  readonly by: 'mapping' | 'name' | 'place';
}

/** Which joints are left, right or in the middle. */
export interface Pairs {
  readonly list: readonly Pair[];
  /** Partner of each joint, -1 for none. */
  readonly partner: Int32Array;
  /** Side of each joint: its own, else that of the joint above it; null in the middle. */
  readonly side: readonly (Side | null)[];
  /** Sides read from names, where a pair of the rig proves that names have sides at all. */
  readonly named: readonly (NamedSide | null)[];
}

/** Joints nearer to the midline than this part of the tolerance are on it. */
const LEAST_OFFSET = 1 / 6;
/** Two joints mirror each other when they lie within this of it, relative to size. */
export const PAIR_TOLERANCE = 0.015;

/** Steps to the cells around one, from below. */
const AROUND = [-1, 0, 1] as const;

/** Side of each joint by mapping or name; null for none. */
type Sides = readonly (Side | 'middle' | null)[];

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
  const partner = new Int32Array(joints.count).fill(-1);
  const list: Pair[] = [];
  const add: AddPair = (left, right, by) => {
    partner[left] = right;
    partner[right] = left;
    list.push({ left, right, by });
  };
  const mapped = mappedSides(facts);
  for (const { left, right } of mappedPairs(facts)) add(left, right, 'mapping');
  const believed = read.map((name, joint) => {
    return (mapped[joint] ?? name?.side) === name?.side ? name : null;
  });
  for (const stem of ['stem', 'looseStem'] as const) pairByName(believed, stem, partner, add);
  const isProved = list.some(({ left, right, by }) => {
    const [a, b] = [read[left], read[right]];
    return by === 'name' || (a != null && b != null && a.side !== b.side);
  });
  const half = midline(facts);
  const sidesBy = (names: readonly (NamedSide | null)[]): Sides =>
    names.map((name, joint) => mapped[joint] ?? name?.side ?? null);
  if (half.symmetric) pairByPlace(facts, sidesBy(read), partner, add);
  list.sort((a, b) => Math.min(a.left, a.right) - Math.min(b.left, b.right));
  const named = read.map((name, joint) => {
    const isSide = name?.apart === true || read[partner[joint] ?? -1] != null;
    return isProved && isSide ? name : null;
  });
  const { places } = bindPose(facts);
  const isAloneInMiddle = (joint: number): boolean => {
    const off = Math.abs((places[joint]?.[0] ?? 0) - half.x);
    return partner[joint] === -1 && off <= PAIR_TOLERANCE * size(facts);
  };
  // A name alone does not put a joint on a side: a tail called "tail_l" is in the middle.
  const sides = sidesBy(named.map((name, joint) => (isAloneInMiddle(joint) ? null : name)));
  return {
    list,
    partner,
    side: spreadSides(list, sides, joints.parent),
    // Numbered vertebrae (L1, L2) are no sides either.
    named: named.map((name, joint) => (name?.numbered && isAloneInMiddle(joint) ? null : name)),
  };
});

type AddPair = (left: number, right: number, by: Pair['by']) => void;

function pairByName(
  names: readonly (NamedSide | null)[],
  stem: 'stem' | 'looseStem',
  partner: Int32Array,
  add: AddPair,
): void {
  const free = names.flatMap((name, joint) =>
    name === null || partner[joint] !== -1 ? [] : [{ joint, name }],
  );
  for (const group of groupBy(free, ({ name }) => name[stem]).values()) {
    const left = group.filter(({ name }) => name.side === 'left');
    const right = group.filter(({ name }) => name.side === 'right');
    // With as many on both sides their order tells them apart (numbered fingers); else nothing does.
    if (left.length !== right.length) continue;
    for (const [at, { joint }] of left.entries()) add(joint, right[at]?.joint ?? joint, 'name');
  }
}

function pairByPlace(facts: Facts, sides: Sides, partner: Int32Array, add: AddPair): void {
  const { places } = bindPose(facts);
  const { depth } = facts.rig.joints;
  const { x } = midline(facts);
  const [sign, tolerance] = [leftSign(facts), PAIR_TOLERANCE * size(facts)];
  /** How far to the left of the plane. */
  const leftward = (joint: number): number => sign * ((places[joint]?.[0] ?? x) - x);
  const free = places.flatMap((_, joint) => {
    if (partner[joint] !== -1 || sides[joint] === 'middle') return [];
    return Math.abs(leftward(joint)) > tolerance * LEAST_OFFSET ? [joint] : [];
  });
  // Only joints of one depth whose cells adjoin are compared: with all in a row, thousands side by side
  // would take the square of their number.
  const cell = (value: number): number => Math.floor(value / Math.max(tolerance, 1e-30));
  const cellOf = (joint: number): Vec3 => {
    const place = places[joint];
    return [cell(place?.[1] ?? 0), cell(Math.abs(leftward(joint))), cell(place?.[2] ?? 0)];
  };
  const rowOf = (joint: number, row: number): string => `${depth[joint]}/${row}`;
  // By row, then outward, then in depth: most of the rows around a joint are empty.
  const rights = mapped(
    groupBy(
      free.filter((joint) => leftward(joint) < 0),
      (joint) => rowOf(joint, cellOf(joint)[0]),
    ),
    (row) =>
      mapped(
        groupBy(row, (joint) => cellOf(joint)[1]),
        (column) => groupBy(column, (joint) => cellOf(joint)[2]),
      ),
  );
  for (const left of free) {
    const place = places[left];
    // A mapping or names that tell the same side, or the other way round, are believed.
    if (place === undefined || leftward(left) < 0 || sides[left] === 'right') continue;
    const mirrored: Vec3 = [2 * x - place[0], place[1], place[2]];
    // Near the middle two joints must be nearer to mirroring than to being one.
    let [best, least, row] = [-1, Math.min(tolerance, leftward(left) / 2), 0];
    const look = (right: number, step: number): void => {
      if (partner[right] !== -1 || sides[right] === 'left') return;
      const gap = distance(places[right] ?? mirrored, mirrored);
      // Of those as near, the first in the lowest row.
      const isFirst = gap === least && row === step && right < best;
      if (gap < least || isFirst) [best, least, row] = [right, gap, step];
    };
    const [up, out, deep] = cellOf(left);
    for (const step of AROUND) {
      const cells = rights.get(rowOf(left, up + step));
      for (const aside of cells === undefined ? [] : AROUND)
        for (const behind of AROUND)
          for (const right of cells?.get(out + aside)?.get(deep + behind) ?? []) look(right, step);
    }
    if (best !== -1) add(left, best, 'place');
  }
}

function mapped<K, V, W>(map: ReadonlyMap<K, V>, make: (value: V) => W): Map<K, W> {
  return new Map([...map].map(([key, value]) => [key, make(value)]));
}

function spreadSides(list: readonly Pair[], first: Sides, parent: Int32Array): (Side | null)[] {
  const side = first.map((entry) => (entry === 'middle' ? null : entry));
  for (const { left, right } of list) [side[left], side[right]] = ['left', 'right'];
  side.forEach((present, joint) => {
    if (present === null && first[joint] !== 'middle')
      side[joint] = side[parent[joint] ?? -1] ?? null;
  });
  return side;
}

/**
 * Pairs that are off, by limb: a limb turned or moved as a whole is one fault. The topmost pairs in
 * order, each with the pairs below it that are off as well.
 */
export function byLimb<T extends { pair: Pair }>({ rig }: Facts, off: readonly T[]): Map<T, T[]> {
  const byRight = new Map(off.map((entry) => [entry.pair.right, entry]));
  const above = ({ pair }: T): T | undefined => byRight.get(rig.joints.parent[pair.right] ?? -1);
  const limbs = groupBy(off, (entry) => {
    let top = entry;
    for (let next = above(top); next !== undefined; next = above(next)) top = next;
    return top;
  });
  return new Map([...limbs].map(([top, all]) => [top, all.filter((entry) => entry !== top)]));
}
