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
