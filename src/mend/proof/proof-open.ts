import { shiftBounds } from './proof-bounds.js';
import { type BoxList, posedReaches, reachBoxes, singleReaches } from './proof-boxes.js';
import { type PartMaps, partMaps } from './proof-maps.js';
import { type PartMovers, type PartPair, partMovers } from './proof-movers.js';
import { VertexMoves } from './proof-moves.js';
import { nearVertices } from './proof-near.js';
import type { SkinComparison } from './proof-pose.js';
import type { Open } from './proof-singles.js';
import { type Apart, type Loose, type Slack, slackOf, takeUp } from './proof-slack.js';
import { turnOf } from './proof-turns.js';
import type { MorphWeights } from './proof-weights.js';

/** What bounds say of a pose, and the vertices of which they say too little. */
export interface Bounded extends Apart {
  /** With the weights of the pose. */
  readonly posed: readonly number[];
  /** With single morph targets. */
  readonly singles: Open;
}

/** Of each vertex, where it is in any pose, and with each morph target alone. */
interface Boxes {
  readonly posed: BoxList;
  readonly single: BoxList;
}

/**
 * Bounds of one part: first of all that a mover moves at once, then of the vertices for which that is not
 * enough, one by one, with whatever morph target; what is left is to be compared. None is ever less than what
 * is apart.
 */
export class PartBounds {
  private readonly movers: PartMovers;
  /** Null where the shape is the same before and after. */
  private readonly maps: PartMaps | null;
  private readonly slack: Slack | null;
  private readonly moves: VertexMoves;
  private knownBoxes: Boxes | null = null;

  constructor(
    private readonly pair: PartPair,
    private readonly skin: SkinComparison,
    private readonly weights: MorphWeights,
    private readonly isTurned: boolean,
  ) {
    const { before, looks } = pair;
    this.moves = new VertexMoves(before, looks?.[0] ?? null);
    this.movers = partMovers(pair, skin.movers);
    this.maps = skin.isReshaped ? partMaps(pair, skin.stored, weights.most()) : null;
    const mapOf = (mover: number): Float64Array => skin.mapOf(mover);
    const boxes = Object.values(this.maps === null ? {} : this.boxes());
    this.slack = this.maps && slackOf(pair, this.maps, this.movers, skin.movers, mapOf, boxes);
  }

  /**
   * The most that vertices and directions are apart in the present pose, up to what needs no closer look, and
   * which of them are to be looked at.
   *
   * @param weights Of all morph targets in the pose, before and after; null for single ones alone.
   */
  take(weights: Float64Array | null, enough: Apart): Bounded {
    const rough =
      this.slack === null
        ? this.byMover(weights, enough)
        : this.bySlack(this.slack, weights, enough);
    if (rough.places.length === 0 && rough.directions.length === 0)
      return { ...rough, posed: [], singles: { places: [], directions: [] } };
    const { before, after } = this.pair;
    const [m, n] = this.skin.matrices;
    const near = nearVertices(
      { a: { part: before, matrices: m }, b: { part: after, matrices: n }, maps: this.maps },
      {
        ...{ open: rough, ...this.boxes(), enough },
        placeOf: weights && ((vertex, out) => this.moves.place(vertex, weights, out)),
      },
    );
    return {
      distance: Math.max(rough.distance, near.distance),
      turn: Math.max(rough.turn, near.turn),
      posed: weights === null ? [] : [...new Set([...near.posed, ...near.turned])],
      singles: { places: near.single, directions: near.turned },
    };
  }

  /** Where the shape is the same before and after. */
  private byMover(weights: Float64Array | null, enough: Apart): Loose {
    const { used, vertices, odd } = this.movers;
    const { slots, a, b } = this.skin.bound();
    const shifts = shiftBounds(this.movers, slots, a, b, weights);
    const far = new Set(odd);
    let distance = 0;
    used.forEach((mover, at) => {
      const shift = shifts[at] ?? 0;
      if (shift <= enough.distance) distance = Math.max(distance, shift);
      else for (const vertex of vertices[mover] ?? []) far.add(vertex);
    });
    return { ...this.turns(enough.turn), distance, places: [...far] };
  }

  private turns(enough: number): Pick<Loose, 'turn' | 'directions'> {
    const { used, pairs, odd, isPlain } = this.movers;
    if (!this.isTurned) return { turn: 0, directions: [] };
    if (!isPlain) return { turn: 0, directions: this.all() };
    const turns = this.skin.turns();
    const apart = turns.most(used);
    // Nothing apart is no turn, whatever is left of a direction.
    if (apart === 0) return { turn: 0, directions: odd };
    let most = 0;
    const unsure = new Set(odd);
    for (const pair of pairs) {
      const turn = turnOf(apart / Math.sqrt(turns.shortestOf(pair)));
      if (turn <= enough) most = Math.max(most, turn);
      else for (const vertex of pair.vertices) unsure.add(vertex);
    }
    return { turn: most, directions: [...unsure] };
  }

  /** Where it is not. */
  private bySlack(slack: Slack, weights: Float64Array | null, enough: Apart): Loose {
    const { movers, skin } = this;
    const { pairs, used, odd, isPlain, sum } = movers;
    const { slots, a, b } = skin.bound();
    const shifts = new Float64Array(slots.count);
    shiftBounds(movers, slots, a, b, weights).forEach((shift, at) => {
      shifts[used[at] ?? 0] = shift;
    });
    const turns = this.isTurned && isPlain ? skin.turns() : null;
    const posed = {
      shift: Float64Array.from(pairs, (pair) => Math.max(shifts[pair.a] ?? 0, shifts[pair.b] ?? 0)),
      spread: Float64Array.from(pairs, (pair) => skin.spread(pair)),
      shortest: turns && Float64Array.from(pairs, (pair) => Math.sqrt(turns.shortestOf(pair))),
      ...{ apart: turns?.most(used) ?? 0, stretch: skin.stretch(), sum },
    };
    const { distance, turn, places, directions } = takeUp(slack, posed, enough);
    const own = { distance, places: [...places, ...odd] };
    if (!this.isTurned) return { ...own, turn: 0, directions: [] };
    if (!isPlain) return { ...own, turn: 0, directions: this.all() };
    return { ...own, turn, directions: [...directions, ...odd] };
  }

  private all(): number[] {
    return Array.from({ length: this.pair.before.vertexCount }, (_, vertex) => vertex);
  }

  /** Made when they are first needed. */
  private boxes(): Boxes {
    const { before, looks } = this.pair;
    const look = looks?.[0] ?? null;
    this.knownBoxes ??= {
      posed: reachBoxes(posedReaches(before.positions, look, this.weights.range())),
      single: reachBoxes(singleReaches(before.positions, look)),
    };
    return this.knownBoxes;
  }
}
