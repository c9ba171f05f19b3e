import type { Facts } from '../../measure/facts.js';
import { type BoneTree, boneTree, type OwnedBone } from '../../measure/geometry/bone-tree.js';
import { type MeshNet, meshNet, whereIs } from '../../measure/geometry/mesh-net.js';
import { rowsOf } from '../../measure/geometry/rows.js';
import type { RigSkin, SkinnedPart } from '../../rig/types.js';
import { vec3At } from '../../rig/vec3.js';
import type { Shares } from './gaps.js';
import { type Influences, sumOf } from './vertex-weights.js';
import { influencesOf, type WeightGroup } from './weight-groups.js';

/** Where a vertex's weights are stored. */
export interface StoredVertex {
  readonly group: WeightGroup;
  readonly vertex: number;
  readonly part: SkinnedPart;
  readonly skin: RigSkin;
}

/** The weights of all vertices of one rig as they are now, by joints of the rig. */
export class RigWeights {
  readonly net: MeshNet;
  private readonly groupOf: ReadonlyMap<SkinnedPart, WeightGroup>;
  /** Vertices at each place. */
  private readonly at: ReturnType<typeof rowsOf>;
  private tree: BoneTree | null = null;

  constructor(
    readonly facts: Facts,
    groups: readonly WeightGroup[],
  ) {
    this.net = meshNet(facts);
    this.groupOf = new Map(
      groups.flatMap((group) => group.readers.map((part) => [part, group] as const)),
    );
    this.at = rowsOf(this.net.places, this.net.places.length);
  }

  /** Where a vertex, as numbered over all parts, is stored; null where its primitive has no weights. */
  stored(vertex: number): StoredVertex | null {
    const { rig } = this.facts;
    const at = whereIs(this.facts, vertex);
    const part = rig.parts[at.part];
    const group = part && this.groupOf.get(part);
    const skin = rig.skins[part?.skin ?? -1];
    if (part === undefined || group === undefined || skin === undefined) return null;
    return { group, vertex: at.vertex, part, skin };
  }

  /** All places as bones without length, by their numbers; made where somebody asks. */
  flesh(): BoneTree {
    this.tree ??= boneTree(fleshOf(this.net));
    return this.tree;
  }

  /** The vertices at a place, as numbered over all parts. */
  verticesAt(place: number): Int32Array {
    return this.at.order.subarray(this.at.first[place] ?? 0, this.at.first[place + 1] ?? 0);
  }

  influences(vertex: number): Influences {
    const at = this.stored(vertex);
    return at === null ? [] : influencesOf(at.group, at.vertex);
  }

  /**
   * What of a vertex's weights can be trusted, by joint: those above 0 of joints that the skin has, without
   * one joint. As shares of 1, not made full.
   */
  trusted(vertex: number, without: number | null): Map<number, number> {
    const found = new Map<number, number>();
    const at = this.stored(vertex);
    if (at === null) return found;
    for (const { slot, weight } of influencesOf(at.group, at.vertex)) {
      const joint = at.skin.jointOfSlot[slot] ?? -1;
      if (joint === -1 || joint === without || !(weight > 0 && weight < Infinity)) continue;
      found.set(joint, (found.get(joint) ?? 0) + weight / (at.group.full ?? 1));
    }
    return found;
  }

  /** Whether any joint moves a vertex, by weights that are numbers. */
  isWeighted(vertex: number): boolean {
    const list = this.influences(vertex);
    return list.every(({ weight }) => Number.isFinite(weight)) && sumOf(list) > 0;
  }
}

function fleshOf({ positions, places }: MeshNet): OwnedBone[] {
  return [...new Set(places)].flatMap((place) => {
    const at = vec3At(positions, place);
    return at.every(Number.isFinite) ? [{ joint: place, from: at, to: at }] : [];
  });
}

/** Shares that sum to 1, in the same proportions; null of nothing. */
export function madeFull(shares: Shares): Shares | null {
  const sum = sumOfShares(shares);
  return sum > 0 ? new Map([...shares].map(([joint, share]) => [joint, share / sum])) : null;
}

export function sumOfShares(shares: Shares): number {
  return [...shares.values()].reduce((sum, share) => sum + share, 0);
}

/** The mean of several, which sums to 1; null of none. */
export function meanOf(list: readonly Shares[]): Shares | null {
  const sum = new Map<number, number>();
  for (const shares of list)
    for (const [joint, share] of shares) sum.set(joint, (sum.get(joint) ?? 0) + share);
  return madeFull(sum);
}
