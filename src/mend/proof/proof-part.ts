import { degrees } from '../../rig/vec3.js';
import { shiftBound } from './proof-bounds.js';
import { SURE_SHIFT, SURE_TURN } from './proof-limits.js';
import { type PartMovers, type PartPair, partMovers } from './proof-movers.js';
import type { SkinComparison } from './proof-pose.js';
import { type ProofPlace, type Seen, UNSEEN, worse } from './proof-seen.js';
import { sameNumbers, shapeOf } from './proof-shape.js';
import { compareVertices, type PosedPart } from './proof-vertices.js';
import { MorphWeights, type Track, type Weights } from './proof-weights.js';

interface Comparison extends PartPair {
  /** By clip. */
  readonly tracks: ReadonlyMap<number, Track>;
  readonly skin: SkinComparison;
  /** Name and size of the rig; world units. */
  readonly rig: string;
  readonly size: number;
}

type Pose = Pick<ProofPlace, 'clip' | 'time'>;

const STORED: Pose = { clip: null, time: 0 };

/** One part of a rig before and after, in the pose that its skin has. */
export class PartComparison {
  readonly vertices: number;
  /** Vertices with a normal or a tangent. */
  readonly directions: number;
  readonly targets: number;
  private readonly weights: MorphWeights;
  private readonly movers: PartMovers | null;

  /** Throws Error where the two do not have the same normals, tangents and morph targets to compare. */
  constructor(private readonly input: Comparison) {
    const { before, skin, looks, tracks } = input;
    if (looks !== null) refuseMissing(before.label, looks);
    this.vertices = before.vertexCount;
    this.targets = looks?.[0].targets.length ?? 0;
    const isTurned = looks !== null && (looks[0].normals !== null || looks[0].tangents !== null);
    this.directions = isTurned ? this.vertices : 0;
    this.weights = new MorphWeights(looks, tracks);
    this.movers = partMovers(input, skin.movers, this.weights.range());
  }

  /** Every vertex in the stored pose; of single morph targets a bound where that is enough. */
  compareStored(): Seen {
    const { stored } = this.weights;
    let seen = this.compareAll(stored, null, STORED);
    const none = new Float64Array(this.targets);
    if (stored.some((weights) => weights.some((weight) => weight !== 0)))
      seen = worse(seen, this.compareAll([none, none], null, STORED));
    return this.targets === 0 ? seen : worse(seen, this.compare(null, STORED, seen));
  }

  /**
   * The pose at a time of a clip; vertices only where no bound shows that nothing is seen.
   *
   * @param known What is seen already: less than that is nothing new.
   */
  compareInClip(clip: number, name: string, time: number, known: Seen): Seen {
    return this.compare(this.weights.sample(clip, time), { clip: name, time }, known);
  }

  /** @param weights Those of the pose; null for single targets alone. */
  private compare(weights: Weights | null, pose: Pose, known: Seen): Seen {
    const { movers } = this;
    const all = (only: readonly number[] | null): Seen => {
      let seen = UNSEEN;
      if (weights !== null) seen = worse(seen, this.compareAll(weights, only, pose));
      for (let target = 0; target < this.targets; target++) {
        const alone = new Float64Array(this.targets);
        alone[target] = 1;
        seen = worse(seen, this.compareAll([alone, alone], only, pose, target));
      }
      return seen;
    };
    if (movers === null || (weights !== null && !sameNumbers(weights[0], weights[1])))
      return all(null);
    const { skin, size } = this.input;
    const [a, b] = skin.matrices;
    const share = shareOf(shiftBound(movers, skin.movers, a, b), size);
    if (!(share <= Math.max(SURE_SHIFT, known.share))) return all(null);
    const { turn, unsure } = this.turns(movers, known.turn);
    const closer = unsure === null || unsure.length > 0 ? all(unsure) : UNSEEN;
    return worse({ ...UNSEEN, share, turn }, { ...closer, share: 0, where: null });
  }

  /** The most that all directions but those of `unsure` vertices can turn; null for all vertices. */
  private turns(
    { used, pairs }: PartMovers,
    known: number,
  ): { readonly turn: number; readonly unsure: readonly number[] | null } {
    if (this.directions === 0) return { turn: 0, unsure: [] };
    if (pairs === null) return { turn: 0, unsure: null };
    const turns = this.input.skin.turns();
    let apart = 0;
    // Once NaN it stays so.
    for (const mover of used) apart = Math.max(apart, turns.apart[mover] ?? 0);
    // Nothing apart is no turn, whatever is left of a direction.
    if (apart === 0) return { turn: 0, unsure: [] };
    let most = 0;
    const unsure = new Set<number>();
    const enough = Math.max(SURE_TURN, known);
    for (const pair of pairs) {
      const turn = degrees(Math.asin(Math.min(1, Math.sqrt(apart / turns.shortestOf(pair)))));
      if (turn <= enough) most = Math.max(most, turn);
      else for (const vertex of pair.vertices) unsure.add(vertex);
    }
    return { turn: most, unsure: [...unsure] };
  }

  private compareAll(
    weights: Weights,
    only: readonly number[] | null,
    pose: Pose,
    target: number | null = null,
  ): Seen {
    const { before, after, looks, skin, rig, size } = this.input;
    const posed = (side: 0 | 1): PosedPart => {
      const part = side === 0 ? before : after;
      const shape = shapeOf(part, looks?.[side] ?? null, weights[side]);
      return { part, shape, matrices: skin.matrices[side] };
    };
    const found = compareVertices(posed(0), posed(1), only);
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

function shareOf(distance: number, size: number): number {
  return size > 0 ? distance / size : distance;
}

function refuseMissing(label: string, [a, b]: NonNullable<PartPair['looks']>): void {
  for (const list of ['normals', 'tangents'] as const)
    if ((a[list] === null) !== (b[list] === null))
      throw new Error(`"${label}" has no more, or not yet, ${list}`);
  if (a.targets.length !== b.targets.length)
    throw new Error(
      `"${label}" had ${a.targets.length} morph targets, and has ${b.targets.length}`,
    );
}
