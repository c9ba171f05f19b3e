import type { SkinnedPart } from '../../rig/types.js';
import type { PartLook } from './looks.js';

/** What morph targets add to one vertex: the targets that move it, and x, y, z of each. */
interface Moves {
  readonly targets: Int32Array;
  readonly deltas: Float32Array;
}

/** Where single vertices are with their morph targets, kept vertex by vertex once one is asked for. */
export class VertexMoves {
  private readonly known: (Moves | undefined)[] = [];

  constructor(
    private readonly part: SkinnedPart,
    private readonly look: PartLook | null,
  ) {}

  /** Writes x, y, z of a vertex before its joints move it (glTF 2.0, 3.7.2.2 Morph Targets). */
  place(vertex: number, weights: Float64Array, out: Float64Array): void {
    this.known[vertex] ??= this.movesOf(vertex);
    const { targets, deltas } = this.known[vertex];
    const { positions } = this.part;
    let [x, y, z] = [0, 0, 0];
    for (let at = 0; at < targets.length; at++) {
      const weight = weights[targets[at] ?? 0] ?? 0;
      x += weight * (deltas[3 * at] ?? 0);
      y += weight * (deltas[3 * at + 1] ?? 0);
      z += weight * (deltas[3 * at + 2] ?? 0);
    }
    out[0] = (positions[3 * vertex] ?? 0) + x;
    out[1] = (positions[3 * vertex + 1] ?? 0) + y;
    out[2] = (positions[3 * vertex + 2] ?? 0) + z;
  }

  private movesOf(vertex: number): Moves {
    const targets: number[] = [];
    const deltas: number[] = [];
    for (const [target, { positions }] of (this.look?.targets ?? []).entries()) {
      const own = positions?.subarray(3 * vertex, 3 * vertex + 3);
      if (own === undefined || own.every((value) => value === 0)) continue;
      targets.push(target);
      deltas.push(...own);
    }
    return { targets: Int32Array.from(targets), deltas: Float32Array.from(deltas) };
  }
}
