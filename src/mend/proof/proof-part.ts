import { shiftBound } from './proof-bounds.js';
import { SURE_SHIFT, SURE_TURN } from './proof-limits.js';
import { type PartMovers, type PartPair, partMovers } from './proof-movers.js';
import { type ProofPlace, type Seen, UNSEEN, worse } from './proof-seen.js';
import { aloneAt, sameNumbers, shapeOf } from './proof-shape.js';
import type { SkinComparison } from './proof-skin.js';
import { compareVertices, type Farthest, type PosedPart } from './proof-vertices.js';
import { MorphWeights, type Track, type Weights } from './proof-weights.js';

/** What need not be looked at closely. */
export interface Sure {
  /** Of the rig, world units. */
  readonly size: number;
  /** What is known to be seen already: less than that is nothing new. */
  readonly known: Seen;
}

interface Comparison extends PartPair {
  readonly tracks: ReadonlyMap<number, Track>;
  readonly skin: SkinComparison;
  /** Name of the rig. */
  readonly rig: string;
}

type Pose = Pick<ProofPlace, 'clip' | 'time'>;

const STORED: Pose = { clip: null, time: 0 };

/** One part of a rig before and after, in the pose that its skin has. */
export class PartComparison {
  /** The part before, without morph targets. */
  readonly base: PosedPart;
  /** Vertices with a normal or a tangent. */
  readonly directions: number;
  readonly targets: number;
  private readonly weights: MorphWeights;
  private readonly movers: PartMovers | null;

  /** Throws Error where the two do not have the same normals, tangents and morph targets to compare. */
  constructor(private readonly of: Comparison) {
    const { before, skin, looks } = of;
    if (looks !== null) refuseMissing(of, looks);
    this.targets = looks?.[0].targets.length ?? 0;
    const isTurned = looks !== null && (looks[0].normals !== null || looks[0].tangents !== null);
    this.directions = isTurned ? before.vertexCount : 0;
    this.weights = new MorphWeights(looks, of.tracks);
    this.base = {
      part: before,
      matrices: skin.matrices[0],
      shape: shapeOf(before, null, []),
    };
    this.movers = partMovers(of, skin.movers, this.weights.range());
  }

  /** Every vertex in the stored pose; of single morph targets a bound where that is enough. */
  compareStored({ size, known }: Sure): Seen {
    let seen = this.compareAll(this.weights.stored, null, STORED, size);
    const isMorphed = this.weights.stored.some((weights) => weights.some((weight) => weight !== 0));
    const none = new Float64Array(this.targets);
    if (isMorphed) seen = worse(seen, this.compareAll([none, none], null, STORED, size));
    if (this.targets === 0) return seen;
    return worse(seen, this.compare(null, STORED, { size, known: worse(known, seen) }));
  }

  /** The pose at a time of a clip; vertices only where no bound tells that nothing is seen. */
  compareInClip(clip: number, name: string, time: number, sure: Sure): Seen {
    return this.compare(this.weights.at(clip, time), { clip: name, time }, sure);
  }

  /** @param weights Those of the pose; null for single targets alone. */
  private compare(weights: Weights | null, pose: Pose, { size, known }: Sure): Seen {
    const { movers } = this;
    const states = this.states(weights);
    const all = (only: readonly number[] | null): Seen =>
      states
        .map(({ weights: own, target }) => this.compareAll(own, only, pose, size, target))
        .reduce(worse, UNSEEN);
    if (movers === null || (weights !== null && !sameNumbers(weights[0], weights[1])))
      return all(null);
    const { skin } = this.of;
    const [a, b] = skin.matrices;
    const share = shareOf(shiftBound(movers, skin.movers, a, b), size);
    if (!(share <= Math.max(SURE_SHIFT, known.share))) return all(null);
    const seen: Seen = { ...UNSEEN, share };
    const { turn, unsure } = this.turns(movers, known.turn);
    const closer = unsure === null || unsure.length > 0 ? all(unsure) : UNSEEN;
    return worse(seen, worse({ ...UNSEEN, turn }, { ...closer, share: 0, where: null }));
  }

  /** The most that surely all directions but those of `unsure` vertices turn; null for all vertices. */
  private turns(
    movers: PartMovers,
    known: number,
  ): { readonly turn: number; readonly unsure: readonly number[] | null } {
    if (this.directions === 0) return { turn: 0, unsure: [] };
    const { pairs } = movers;
    if (pairs === null) return { turn: 0, unsure: null };
    const turns = this.of.skin.turns();
    let apart = 0;
    // Once NaN it stays so.
    for (const mover of movers.used) apart = Math.max(apart, turns.apart[mover] ?? 0);
    let most = 0;
    const unsure = new Set<number>();
    const enough = Math.max(SURE_TURN, known);
    // Nothing apart is no turn, whatever is left of a direction.
    if (apart === 0) return { turn: 0, unsure: [] };
    for (const pair of pairs) {
      const turn = Math.asin(Math.min(1, Math.sqrt(apart / turns.shortestOf(pair)))) * PER_RADIAN;
      if (turn <= enough) most = Math.max(most, turn);
      else for (const vertex of pair.vertices) unsure.add(vertex);
    }
    return { turn: most, unsure: [...unsure] };
  }

  private states(weights: Weights | null): { weights: Weights; target: number | null }[] {
    const alone = Array.from({ length: this.targets }, (_, target) => {
      const own = aloneAt(target, this.targets);
      return { weights: [own, own] as const, target };
    });
    return weights === null ? alone : [{ weights, target: null }, ...alone];
  }

  private compareAll(
    weights: Weights,
    only: readonly number[] | null,
    pose: Pose,
    size: number,
    target: number | null = null,
  ): Seen {
    const { before, after, looks, skin, rig } = this.of;
    const found: Farthest = { distance: 0, vertex: -1, turn: 0, turnedVertex: -1 };
    compareVertices(
      {
        part: before,
        shape: shapeOf(before, looks?.[0] ?? null, weights[0]),
        matrices: skin.matrices[0],
      },
      {
        part: after,
        shape: shapeOf(after, looks?.[1] ?? null, weights[1]),
        matrices: skin.matrices[1],
      },
      only,
      found,
    );
    const place = (vertex: number): ProofPlace | null =>
      vertex === -1 ? null : { rig, part: before.label, vertex, ...pose, target };
    return {
      share: shareOf(found.distance, size),
      where: place(found.vertex),
      turn: found.turn,
      turned: place(found.turnedVertex),
    };
  }
}

const PER_RADIAN = 180 / Math.PI;

function shareOf(distance: number, size: number): number {
  return size > 0 ? distance / size : distance;
}

function refuseMissing(
  { before: { label } }: PartPair,
  [a, b]: NonNullable<PartPair['looks']>,
): void {
  if ((a.normals === null) !== (b.normals === null))
    throw new Error(`"${label}" has no more, or not yet, normals`);
  if ((a.tangents === null) !== (b.tangents === null))
    throw new Error(`"${label}" has no more, or not yet, tangents`);
  if (a.targets.length !== b.targets.length)
    throw new Error(
      `"${label}" had ${a.targets.length} morph targets, and has ${b.targets.length}`,
    );
}
