import { nearestBone } from '../../measure/geometry/bone-tree.js';
import { vec3At } from '../../rig/vec3.js';
import { type EdgeStrengths, edgeStrengths } from './edge-strengths.js';
import { componentsOf, type Gap, type Shares } from './gaps.js';
import { harmonicFill } from './harmonic-fill.js';
import { madeFull, meanOf, type RigWeights, sumOfShares } from './rig-weights.js';
import type { WeightSpot } from './weight-spots.js';

/** What the vertices of a spot are to get. */
export interface FilledSpot {
  /** The vertices that are still at fault, with shares of joints that sum to 1; null where nothing says which. */
  readonly wanted: ReadonlyMap<number, Shares | null>;
  /** How many of them hang together with no good skin, and follow the nearest instead. */
  readonly loose: number;
  readonly edges: EdgeStrengths;
}

/**
 * Works out weights for a spot from the vertices around it, along the mesh. Vertices at one place get one set of
 * weights, so that seams do not open; where one of them is good, they get its.
 */
export function fillSpot(weights: RigWeights, spot: WeightSpot): FilledSpot {
  const { net } = weights;
  const filling = new Filling(weights, spot);
  const places = [...filling.faulty.keys()];
  const edges = edgeStrengths(net, places);
  const found = new Map<number, Shares>();
  for (const place of places) {
    const good = filling.goodAt(place);
    if (good !== null) found.set(place, good);
  }
  const open = places.filter((place) => !found.has(place));
  const numberOf = new Map(open.map((place, at) => [place, at]));
  const gaps = open.map((place): Gap => {
    const around = [...(edges.get(place) ?? [])].flatMap(([other, strength]) => {
      const to = numberOf.get(other) ?? found.get(other) ?? filling.goodAt(other);
      return to === null ? [] : [{ to, strength }];
    });
    return { kept: filling.keptAt(place), edges: around };
  });
  const filled = harmonicFill(gaps);
  let loose = 0;
  for (const members of componentsOf(gaps)) {
    const isLoose = members.every((member) => filled[member] === null);
    const at = members.map((member) => open[member] ?? -1);
    const nearest = isLoose ? filling.nearestTo(at) : null;
    for (const [index, member] of members.entries()) {
      const place = at[index] ?? -1;
      const shares = filled[member] ?? nearest;
      if (shares !== null) found.set(place, shares);
      if (isLoose) loose += filling.faulty.get(place)?.length ?? 0;
    }
  }
  const wanted = new Map(
    [...filling.faulty].flatMap(([place, vertices]) =>
      vertices.map((vertex) => [vertex, found.get(place) ?? null] as const),
    ),
  );
  return { wanted, loose, edges };
}

/** What is known of the places of a spot and around it. */
class Filling {
  /** Vertices that are at fault, by place. */
  readonly faulty = new Map<number, number[]>();
  /** The same vertices as they are stored: primitives that share vertices number them apart. */
  private readonly stored = new Map<object, Set<number>>();
  private readonly known = new Map<number, Shares | null>();
  private anyGood: boolean | null = null;

  constructor(
    private readonly weights: RigWeights,
    private readonly spot: WeightSpot,
  ) {
    const { net } = weights;
    for (const vertex of spot.vertices) {
      const at = weights.stored(vertex);
      if (at === null || !this.isFaulty(vertex)) continue;
      this.stored.set(at.group, (this.stored.get(at.group) ?? new Set()).add(at.vertex));
    }
    for (const place of new Set(spot.vertices.map((vertex) => net.places[vertex] ?? vertex))) {
      const listed = [...weights.verticesAt(place)].filter((vertex) => this.isListed(vertex));
      if (listed.length > 0) this.faulty.set(place, listed);
    }
  }

  /** A spot before it, or another rig with the same vertices, may have mended it. */
  private isFaulty(vertex: number): boolean {
    const { joint } = this.spot;
    if (joint === null) return !this.weights.isWeighted(vertex);
    const before = sumOfShares(this.weights.trusted(vertex, null));
    return before > sumOfShares(this.weights.trusted(vertex, joint));
  }

  private isListed(vertex: number): boolean {
    const at = this.weights.stored(vertex);
    return at !== null && this.stored.get(at.group)?.has(at.vertex) === true;
  }

  /** The mean of the good vertices at a place; null where there are none. */
  goodAt(place: number): Shares | null {
    const known = this.known.get(place);
    if (known !== undefined) return known;
    const { joint } = this.spot;
    const good = [...this.weights.verticesAt(place)].flatMap((vertex) => {
      if (this.isListed(vertex) || !this.weights.isWeighted(vertex)) return [];
      return madeFull(this.weights.trusted(vertex, joint)) ?? [];
    });
    const mean = meanOf(good);
    this.known.set(place, mean);
    return mean;
  }

  /** The mean of what the vertices at fault keep of their own, as a share of all that moves them. */
  keptAt(place: number): Shares {
    const vertices = this.faulty.get(place) ?? [];
    const kept = new Map<number, number>();
    for (const vertex of vertices) {
      const all = sumOfShares(this.weights.trusted(vertex, null));
      // What has no other weight is not known to have lost none.
      const whole = this.spot.joint === null ? Math.max(1, all) : all;
      for (const [joint, share] of this.weights.trusted(vertex, this.spot.joint))
        kept.set(joint, (kept.get(joint) ?? 0) + share / whole / vertices.length);
    }
    return kept;
  }

  /** The weights of the good place nearest to any of some; null where the rig has none. */
  nearestTo(places: readonly number[]): Shares | null {
    const { net } = this.weights;
    const flesh = this.weights.flesh();
    if (!this.hasGood()) return null;
    const isGood = (place: number) => this.isGood(place);
    let best = { joint: -1, distance: Infinity };
    for (const place of places)
      best = nearestBone(flesh, vec3At(net.positions, place), best, isGood);
    return best.joint === -1 ? null : this.goodAt(best.joint);
  }

  /** Where nothing is good, each search for the nearest would go through the whole rig. */
  private hasGood(): boolean {
    this.anyGood ??= this.weights.net.places.some((place) => this.isGood(place));
    return this.anyGood;
  }

  private isGood(place: number): boolean {
    return !this.faulty.has(place) && this.goodAt(place) !== null;
  }
}
