import { sameNumbers } from './proof-shape.js';

/** Two movers that share vertices, or one twice for vertices that it moves alone. */
export interface MoverPair {
  readonly a: number;
  readonly b: number;
  /** Most movers of any of their vertices. */
  most: number;
  /** All vertices that they share. */
  readonly vertices: number[];
}

/** The pairs of movers of all vertices. */
export class MoverPairs {
  private readonly pairs = new Map<number, MoverPair>();
  /** Movers of the vertex before and their pairs: neighbours mostly have the same. */
  private former: readonly number[] = [];
  private formerPairs: MoverPair[] = [];

  add(vertex: number, movers: readonly number[]): void {
    if (!sameNumbers(movers, this.former)) {
      this.former = movers;
      this.formerPairs = this.pairsOf(movers);
    }
    for (const pair of this.formerPairs) pair.vertices.push(vertex);
  }

  list(): MoverPair[] {
    return [...this.pairs.values()];
  }

  private pairsOf(movers: readonly number[]): MoverPair[] {
    const [only] = movers;
    if (only !== undefined && movers.length === 1) return [this.pair(only, only, 1)];
    return movers.flatMap((a, at) =>
      movers.slice(at + 1).map((b) => this.pair(Math.min(a, b), Math.max(a, b), movers.length)),
    );
  }

  private pair(a: number, b: number, most: number): MoverPair {
    const key = 2 ** 26 * a + b;
    const pair = this.pairs.get(key) ?? { a, b, most, vertices: [] };
    pair.most = Math.max(pair.most, most);
    this.pairs.set(key, pair);
    return pair;
  }
}
