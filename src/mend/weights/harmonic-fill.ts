import { FillSystem } from './fill-system.js';
import { componentsOf, type Gap, type Shares } from './gaps.js';

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
