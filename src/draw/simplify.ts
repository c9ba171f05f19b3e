type Point = readonly [number, number];

/**
 * Fewer points of a closed ring, none of the left out ones farther than `tolerance` from the line
 * (Douglas and Peucker 1973, "Algorithms for the reduction of the number of points required to
 * represent a digitized line or its caricature"). The ring is split at its first point and the one
 * farthest from it.
 */
export function simplifyRing(ring: readonly Point[], tolerance: number): Point[] {
  const [first] = ring;
  const last = ring.at(-1);
  if (first === undefined || last === undefined) return [];
  // Rings come with their first point again at the end.
  const open = first[0] === last[0] && first[1] === last[1] ? ring.slice(0, -1) : ring;
  let [far, farthest] = [0, -1];
  open.forEach(([x, y], at) => {
    const gap = (x - first[0]) ** 2 + (y - first[1]) ** 2;
    if (gap > farthest) [far, farthest] = [at, gap];
  });
  const kept = new Uint8Array(open.length + 1);
  kept[0] = kept[far] = 1;
  const closed = [...open, first];
  keepBetween(closed, 0, far, tolerance, kept);
  keepBetween(closed, far, open.length, tolerance, kept);
  return open.filter((_, at) => kept[at] === 1);
}

/** Without recursion: a spiral of thousands of points must not run out of stack. */
function keepBetween(
  points: readonly Point[],
  from: number,
  to: number,
  tolerance: number,
  kept: Uint8Array,
): void {
  const open: [number, number][] = [[from, to]];
  for (let span = open.pop(); span !== undefined; span = open.pop()) {
    const [start, end] = span;
    const [ax, ay] = points[start] ?? [0, 0];
    const [bx, by] = points[end] ?? [0, 0];
    const length = Math.hypot(bx - ax, by - ay);
    let [worst, most] = [-1, tolerance];
    for (let at = start + 1; at < end; at++) {
      const [x, y] = points[at] ?? [0, 0];
      const gap =
        length > 0
          ? Math.abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length
          : Math.hypot(x - ax, y - ay);
      if (gap > most) [worst, most] = [at, gap];
    }
    if (worst === -1) continue;
    kept[worst] = 1;
    open.push([start, worst], [worst, end]);
  }
}
