/** The edges of some triangles whose corners are welded. */
export interface ZoneEdges {
  /** Two vertices an edge, each edge once, of the first triangle that has it. */
  readonly edges: Uint32Array;
  /** Per edge: how many more triangles run along it forth than back; 0 inside a closed skin. */
  readonly excess: Int32Array;
}

/** Finds each edge once, by its welded ends (`nodes`), in a table with cells to spare. */
export function edgesOf(corners: Uint32Array, nodes: Uint32Array): ZoneEdges {
  let cells = 16;
  while (cells < 2 * corners.length) cells *= 2;
  // An edge and 1; 0 is an empty cell.
  const table = new Uint32Array(cells);
  const edges = new Uint32Array(2 * corners.length);
  const excess = new Int32Array(corners.length);
  let count = 0;
  for (let corner = 0; corner < corners.length; corner++) {
    const from = corners[corner] ?? 0;
    const to = corners[corner % 3 === 2 ? corner - 2 : corner + 1] ?? 0;
    const a = nodes[from] ?? 0;
    const b = nodes[to] ?? 0;
    // Both ends at one place: an edge of a triangle without area.
    if (a === b) continue;
    const low = Math.min(a, b);
    const high = Math.max(a, b);
    const hash = Math.imul(low, 0x2c1b3c6d) ^ Math.imul(high, 0x297a2d39);
    let cell = (hash ^ (hash >>> 15)) & (cells - 1);
    for (; ; cell = (cell + 1) & (cells - 1)) {
      const edge = (table[cell] ?? 0) - 1;
      if (edge === -1) {
        table[cell] = count + 1;
        edges[2 * count] = from;
        edges[2 * count + 1] = to;
        excess[count++] = 1;
        break;
      }
      const start = nodes[edges[2 * edge] ?? 0] ?? 0;
      const stop = nodes[edges[2 * edge + 1] ?? 0] ?? 0;
      if ((start === a && stop === b) || (start === b && stop === a)) {
        excess[edge] = (excess[edge] ?? 0) + (start === a ? 1 : -1);
        break;
      }
    }
  }
  return { edges: edges.slice(0, 2 * count), excess: excess.slice(0, count) };
}

/** Groups of things that were joined, each named by one of its members. */
export class Groups {
  private readonly leader: Uint32Array;

  constructor(count: number) {
    this.leader = new Uint32Array(count).map((_, i) => i);
  }

  leaderOf(member: number): number {
    let at = member;
    let above = this.leader[at] ?? at;
    while (above !== at) {
      const next = this.leader[above] ?? above;
      this.leader[at] = next;
      at = next;
      above = this.leader[at] ?? at;
    }
    return at;
  }

  join(a: number, b: number): void {
    const [x, y] = [this.leaderOf(a), this.leaderOf(b)];
    if (x < y) this.leader[y] = x;
    else this.leader[x] = y;
  }
}
