import { degrees } from '../../rig/vec3.js';
import { shiftBounds } from './proof-bounds.js';
import { type BoxList, reachBoxes, singleReaches } from './proof-boxes.js';
import { SURE_SHIFT, SURE_TURN } from './proof-limits.js';
import {
  type PartMovers,
  type PartPair,
  type PartSame,
  partMovers,
  partSame,
} from './proof-movers.js';
import type { SkinComparison } from './proof-pose.js';
import { type ProofPlace, type Seen, UNSEEN, worse } from './proof-seen.js';
import { sameNumbers, shapeOf } from './proof-shape.js';
import { compareSingles } from './proof-singles.js';
import { compareVertices, type Farthest } from './proof-vertices.js';
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

/** A bound up to this needs no closer look: share of size, and degrees. */
type Enough = Pick<Seen, 'share' | 'turn'>;

/** What bounds say of a pose, and the vertices of which they say too little; null for all. */
interface Bounded extends Enough {
  readonly open: readonly number[] | null;
}

const OPEN: Bounded = { share: 0, turn: 0, open: null };

/** One part of a rig before and after, in the pose that its skin has. */
export class PartComparison {
  readonly vertices: number;
  /** Vertices with a normal or a tangent. */
  readonly directions: number;
  readonly targets: number;
  private readonly weights: MorphWeights;
  private readonly same: PartSame;
  private readonly movers: PartMovers | null;
  /** Of each vertex, made when they are first needed; null where morph targets are not the same. */
  private boxes: BoxList | null = null;

  /** Throws Error where the two do not have the same normals, tangents and morph targets to compare. */
  constructor(private readonly input: Comparison) {
    const { before, skin, looks, tracks } = input;
    if (looks !== null) refuseMissing(before.label, looks);
    this.vertices = before.vertexCount;
    this.targets = looks?.[0].targets.length ?? 0;
    const isTurned = looks !== null && (looks[0].normals !== null || looks[0].tangents !== null);
    this.directions = isTurned ? this.vertices : 0;
    this.weights = new MorphWeights(looks, tracks);
    this.same = partSame(input);
    this.movers = partMovers(input, this.same, skin.movers);
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
    const enough = {
      share: Math.max(SURE_SHIFT, known.share),
      turn: Math.max(SURE_TURN, known.turn),
    };
    const isSame = weights === null || sameNumbers(weights[0], weights[1]);
    const { share, turn, open } = isSame ? this.bounds(weights?.[0] ?? null, enough) : OPEN;
    let seen: Seen = { ...UNSEEN, share, turn };
    if (open !== null && open.length === 0) return seen;
    if (weights !== null) seen = worse(seen, this.compareAll(weights, open, pose));
    if (this.targets > 0) seen = worse(seen, this.compareSingles(open, pose, enough));
    return seen;
  }

  /** The most that vertices and directions can be apart, but for vertices that are to be looked at. */
  private bounds(weights: Float64Array | null, enough: Enough): Bounded {
    const { movers } = this;
    const { skin, size } = this.input;
    if (movers === null) return OPEN;
    const shifts = shiftBounds(movers, skin.movers, ...skin.matrices, weights);
    const { turn, unsure } = this.turns(movers, enough.turn);
    if (unsure === null) return OPEN;
    const far = new Set([...movers.odd, ...unsure]);
    let share = 0;
    movers.used.forEach((mover, at) => {
      const shift = shareOf(shifts[at] ?? 0, size);
      if (shift <= enough.share) share = Math.max(share, shift);
      else for (const vertex of movers.vertices[mover] ?? []) far.add(vertex);
    });
    return { share, turn, open: [...far] };
  }

  /** The most that all directions but those of `unsure` vertices can turn; null for all vertices. */
  private turns(
    { used, pairs }: PartMovers,
    enough: number,
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
    for (const pair of pairs) {
      const turn = degrees(Math.asin(Math.min(1, Math.sqrt(apart / turns.shortestOf(pair)))));
      if (turn <= enough) most = Math.max(most, turn);
      else for (const vertex of pair.vertices) unsure.add(vertex);
    }
    return { turn: most, unsure: [...unsure] };
  }

  /** Vertices with the weights of a pose. */
  private compareAll(weights: Weights, only: readonly number[] | null, pose: Pose): Seen {
    const { before, after, looks, skin } = this.input;
    const [old, now] = skin.matrices;
    const shape = shapeOf(before, looks?.[0] ?? null, weights[0], only);
    const { places, directions } = this.same;
    const isShared = places && directions && sameNumbers(...weights);
    const other = isShared ? shape : shapeOf(after, looks?.[1] ?? null, weights[1], only);
    const found = compareVertices(
      { part: before, shape, matrices: old },
      { part: after, shape: other, matrices: now },
      only,
    );
    return this.seen(found, pose);
  }

  /** Vertices with each morph target alone. */
  private compareSingles(only: readonly number[] | null, pose: Pose, enough: Enough): Seen {
    const { before, after, looks, skin, size } = this.input;
    if (looks === null) return UNSEEN;
    const { places, directions } = this.same;
    if (places) this.boxes ??= reachBoxes(singleReaches(before.positions, looks[0]));
    const found = compareSingles(
      { part: before, look: looks[0], matrices: skin.matrices[0] },
      { part: after, look: looks[1], matrices: skin.matrices[1] },
      only,
      {
        boxes: this.boxes,
        isTurnedAlike: directions,
        distance: size > 0 ? enough.share * size : enough.share,
        turn: enough.turn,
      },
    );
    return this.seen(found, pose, found.target, found.turnedTarget);
  }

  private seen(
    { distance, vertex, turn, turnedVertex }: Farthest,
    pose: Pose,
    target: number | null = null,
    turnedTarget: number | null = null,
  ): Seen {
    const { before, rig, size } = this.input;
    const place = (at: number, shown: number | null): ProofPlace | null =>
      at === -1 ? null : { rig, part: before.label, vertex: at, ...pose, target: shown };
    return {
      share: shareOf(distance, size),
      where: place(vertex, target),
      turn,
      turned: place(turnedVertex, turnedTarget),
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
