/** Shares of joints: of what moves one place, or of a part of it. */
export type Shares = ReadonlyMap<number, number>;

/** A place whose weights are wanted. */
export interface Gap {
  /** What it keeps of its own, which sums to less than 1 where something is to be filled in. */
  readonly kept: Shares;
  readonly edges: readonly {
    /** The neighbour's number in the list of gaps, or its weights, which sum to 1. */
    readonly to: number | Shares;
    readonly strength: number;
  }[];
}

/** What a place keeps is at most so much: one that keeps all of its own is no gap. */
const MOST_KEPT = 1 - 1e-6;
/** The rest of the system is this share of where it began: far below a step of any storage. */
const SOLVED = 1e-9;

/**
 * Gives each gap what it keeps, and for the rest the mean of its neighbours, by the strength of the edges.
 * With nothing kept these are harmonic weights (Laplace's equation on the mesh, with the neighbours that
 * are no gaps as the boundary): none is below 0, all sum to 1, and none is larger than at the boundary.
 * What is kept holds the place to itself, so that a fill over much skin does not blur it.
 *
 * Null for gaps that hang together with no neighbour and keep nothing: nothing says what they are.
 */
export function harmonicFill(gaps: readonly Gap[]): (Shares | null)[] {
  const filled: (Shares | null)[] = gaps.map(() => null);
  for (const members of componentsOf(gaps)) {
    const joints = new Set<number>();
    for (const member of members) {
      const { kept = new Map<number, number>(), edges = [] } = gaps[member] ?? {};
      for (const shares of [kept, ...edges.map(({ to }) => to)])
        if (typeof shares !== 'number') for (const joint of shares.keys()) joints.add(joint);
    }
    if (joints.size === 0) continue;
    const system = new FillSystem(gaps, members);
    const sorted = [...joints].sort((a, b) => a - b);
    const columns = sorted.map((joint) => system.solve(joint));
    members.forEach((member, row) => {
      const found = sorted.map((joint, at): [number, number] => {
        return [joint, Math.max(0, columns[at]?.[row] ?? 0)];
      });
      const sum = found.reduce((total, [, share]) => total + share, 0);
      // Rounding alone keeps the sum off 1.
      if (sum > 0)
        filled[member] = new Map(
          found.flatMap(([joint, share]) => (share > 0 ? [[joint, share / sum]] : [])),
        );
    });
  }
  return filled;
}

/** Gaps that hang together, by their numbers. */
export function componentsOf(gaps: readonly Gap[]): number[][] {
  const seen = new Uint8Array(gaps.length);
  const components: number[][] = [];
  for (let start = 0; start < gaps.length; start++) {
    if (seen[start] === 1) continue;
    seen[start] = 1;
    const members = [start];
    for (let next = 0; next < members.length; next++)
      for (const { to } of gaps[members[next] ?? -1]?.edges ?? []) {
        if (typeof to !== 'number' || seen[to] === 1) continue;
        seen[to] = 1;
        members.push(to);
      }
    components.push(members);
  }
  return components;
}

/**
 * The equations of gaps that hang together: d x - sum of c x' = b, one a gap, where c is the strength of
 * the edge to x', d the sum of all c over the share that is to be filled in, and b what is kept and what the
 * boundary adds. They are symmetric and, with anything kept or bounded, positive definite.
 */
class FillSystem {
  private readonly diagonal: Float64Array;
  /** Rows one after the other: the row and strength of each neighbouring gap. */
  private readonly rows: readonly (readonly (readonly [row: number, strength: number])[])[];

  constructor(
    private readonly gaps: readonly Gap[],
    private readonly members: readonly number[],
  ) {
    const rowOf = new Map(members.map((member, row) => [member, row]));
    const edgesOf = members.map((member) => gaps[member]?.edges ?? []);
    this.diagonal = Float64Array.from(members, (member, row) => {
      const total = strengthOf(edgesOf[row] ?? []);
      return total / (1 - keptOf(gaps[member]));
    });
    this.rows = edgesOf.map((edges) =>
      edges.flatMap(({ to, strength }) => {
        const row = typeof to === 'number' ? rowOf.get(to) : undefined;
        return row === undefined ? [] : [[row, strength] as const];
      }),
    );
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
    this.rows.forEach((edges, row) => {
      let sum = (this.diagonal[row] ?? 0) * (x[row] ?? 0);
      for (const [other, strength] of edges) sum -= strength * (x[other] ?? 0);
      out[row] = sum;
    });
  }
}

function strengthOf(edges: Gap['edges']): number {
  return edges.reduce((sum, { strength }) => sum + strength, 0);
}

function keptOf(gap: Gap | undefined): number {
  const sum = [...(gap?.kept.values() ?? [])].reduce((total, share) => total + share, 0);
  return Math.min(MOST_KEPT, sum);
}
