import type { Gap } from './gaps.js';

/** What a place keeps is at most so much: one that keeps all of its own is no gap. */
const MOST_KEPT = 1 - 1e-6;
/** The rest of the system is this share of where it began: far below a step of any storage. */
const SOLVED = 1e-9;

/**
 * The equations of gaps that hang together: d x - sum of c x' = b, one a gap, where c is the strength of
 * the edge to x', d the sum of all c over the share that is to be filled in, and b what is kept and what the
 * boundary adds. They are symmetric and, with anything kept or bounded, positive definite.
 */
export class FillSystem {
  private readonly diagonal: Float64Array;
  /** Rows and strengths of the neighbouring gaps, one row after the other, and where each begins. */
  private readonly first: Int32Array;
  private readonly rows: Int32Array;
  private readonly strengths: Float64Array;

  constructor(
    private readonly gaps: readonly Gap[],
    private readonly members: readonly number[],
  ) {
    const rowOf = new Map(members.map((member, row) => [member, row]));
    this.diagonal = Float64Array.from(members, (member) => {
      const edges = gaps[member]?.edges ?? [];
      const total = edges.reduce((sum, { strength }) => sum + strength, 0);
      return total / (1 - keptOf(gaps[member]));
    });
    this.first = new Int32Array(members.length + 1);
    const [rows, strengths]: [number[], number[]] = [[], []];
    members.forEach((member, at) => {
      for (const { to, strength } of gaps[member]?.edges ?? []) {
        const row = typeof to === 'number' ? rowOf.get(to) : undefined;
        if (row === undefined) continue;
        rows.push(row);
        strengths.push(strength);
      }
      this.first[at + 1] = rows.length;
    });
    this.rows = Int32Array.from(rows);
    this.strengths = Float64Array.from(strengths);
  }

  /** The share of one joint in each gap, by conjugate gradients, preconditioned by the diagonal. */
  solve(joint: number): Float64Array {
    const { diagonal, members } = this;
    const count = members.length;
    const b = Float64Array.from(members, (_, row) => this.rightSide(joint, row));
    // A gap without an edge has no equation: it is what it keeps.
    const x = Float64Array.from(members, (member, row) =>
      diagonal[row] === 0 ? (this.gaps[member]?.kept.get(joint) ?? 0) : 0,
    );
    const r = Float64Array.from(b);
    const scaled = (row: number): number => {
      const d = diagonal[row] ?? 0;
      return d === 0 ? 0 : (r[row] ?? 0) / d;
    };
    const p = Float64Array.from(members, (_, row) => scaled(row));
    let rho = p.reduce((sum, value, row) => sum + value * (r[row] ?? 0), 0);
    const enough = rho * SOLVED * SOLVED;
    const q = new Float64Array(count);
    for (let step = 0; step < 10 * count + 10 && rho > enough; step++) {
      this.multiply(p, q);
      const alpha = rho / p.reduce((sum, value, row) => sum + value * (q[row] ?? 0), 0);
      if (!Number.isFinite(alpha)) break;
      for (let row = 0; row < count; row++) {
        x[row] = (x[row] ?? 0) + alpha * (p[row] ?? 0);
        r[row] = (r[row] ?? 0) - alpha * (q[row] ?? 0);
      }
      let next = 0;
      for (let row = 0; row < count; row++) next += scaled(row) * (r[row] ?? 0);
      const beta = next / rho;
      for (let row = 0; row < count; row++) p[row] = scaled(row) + beta * (p[row] ?? 0);
      rho = next;
    }
    return x;
  }

  private rightSide(joint: number, row: number): number {
    const gap = this.gaps[this.members[row] ?? -1];
    let sum = (this.diagonal[row] ?? 0) * (gap?.kept.get(joint) ?? 0);
    for (const { to, strength } of gap?.edges ?? [])
      if (typeof to !== 'number') sum += strength * (to.get(joint) ?? 0);
    return sum;
  }

  private multiply(x: Float64Array, out: Float64Array): void {
    const { diagonal, first, rows, strengths } = this;
    for (let row = 0; row < out.length; row++) {
      let sum = (diagonal[row] ?? 0) * (x[row] ?? 0);
      for (let k = first[row] ?? 0; k < (first[row + 1] ?? 0); k++)
        sum -= (strengths[k] ?? 0) * (x[rows[k] ?? 0] ?? 0);
      out[row] = sum;
    }
  }
}

function keptOf(gap: Gap | undefined): number {
  const sum = [...(gap?.kept.values() ?? [])].reduce((total, share) => total + share, 0);
  return Math.min(MOST_KEPT, sum);
}
