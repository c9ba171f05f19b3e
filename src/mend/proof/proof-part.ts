import { SURE_SHIFT, SURE_TURN } from './proof-limits.js';
import type { PartPair } from './proof-movers.js';
import { PartBounds } from './proof-open.js';
import type { SkinComparison } from './proof-pose.js';
import { type Pair, type ProofPlace, type Seen, UNSEEN, worse } from './proof-seen.js';
import { type Asked, type ShapeRoom, sameNumbers, shapeOf } from './proof-shape.js';
import { compareSingles, type Open } from './proof-singles.js';
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

/** One part of a rig before and after, in the pose that its skin has. */
export class PartComparison {
  readonly vertices: number;
  /** Vertices with a normal or a tangent. */
  readonly directions: number;
  readonly targets: number;
  private readonly weights: MorphWeights;
  private readonly bounds: PartBounds;
  private readonly rooms: Pair<ShapeRoom> = [new Map(), new Map()];

  /** Throws Error where the two do not have the same normals, tangents and morph targets to compare. */
  constructor(private readonly input: Comparison) {
    const { before, skin, looks, tracks } = input;
    if (looks !== null) refuseMissing(before.label, looks);
    this.vertices = before.vertexCount;
    this.targets = looks?.[0].targets.length ?? 0;
    const isTurned = looks !== null && (looks[0].normals !== null || looks[0].tangents !== null);
    this.directions = isTurned ? this.vertices : 0;
    this.weights = new MorphWeights(looks, tracks);
    this.bounds = new PartBounds(input, skin, this.weights, isTurned);
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
    const { size } = this.input;
    const share = Math.max(SURE_SHIFT, known.share);
    const turn = Math.max(SURE_TURN, known.turn);
    const enough = { distance: size > 0 ? share * size : share, turn };
    const isSame = weights === null || sameNumbers(...weights);
    const shared = isSame ? (weights?.[0] ?? null) : null;
    const bounded = this.bounds.take(shared, enough);
    let seen: Seen = { ...UNSEEN, share: shareOf(bounded.distance, size), turn: bounded.turn };
    if (weights !== null && (!isSame || bounded.posed.length > 0))
      seen = worse(seen, this.compareAll(weights, isSame ? bounded.posed : null, pose));
    return this.targets === 0 ? seen : worse(seen, this.compareSingles(bounded.singles, pose));
  }

  /** Vertices with the weights of a pose. */
  private compareAll(weights: Weights, only: readonly number[] | null, pose: Pose): Seen {
    const { before, after, looks, skin } = this.input;
    const [old, now] = skin.matrices;
    const asked = (side: 0 | 1): Asked | null => only && { vertices: only, room: this.rooms[side] };
    const shape = shapeOf(before, looks?.[0] ?? null, weights[0], asked(0));
    const isShared = !skin.isReshaped && sameNumbers(...weights);
    const other = isShared ? shape : shapeOf(after, looks?.[1] ?? null, weights[1], asked(1));
    const found = compareVertices(
      { part: before, shape, matrices: old },
      { part: after, shape: other, matrices: now },
      only,
    );
    return this.seen(found, pose);
  }

  /** Vertices with each morph target alone. */
  private compareSingles(open: Open, pose: Pose): Seen {
    const { before, after, looks, skin } = this.input;
    if (looks === null || open.places.length + open.directions.length === 0) return UNSEEN;
    const found = compareSingles(
      { part: before, look: looks[0], matrices: skin.matrices[0] },
      { part: after, look: looks[1], matrices: skin.matrices[1] },
      open,
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
