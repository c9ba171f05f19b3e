type Point = readonly [number, number];

/** The rings of path data of moves, lines by steps, and closings. Throws on any other command. */
export function ringsOf(path: string): Point[][] {
  return path
    .split('z')
    .filter((part) => part !== '')
    .map((part) => {
      const [, x, y, steps] = /^M(-?[\d.]+) (-?[\d.]+)l([-\d. ]+)$/.exec(part) ?? [];
      if (steps === undefined) throw new Error(`no ring: ${part.slice(0, 60)}`);
      const ring: Point[] = [[Number(x), Number(y)]];
      const numbers = steps.trim().split(' ').map(Number);
      for (let at = 0; at + 1 < numbers.length; at += 2) {
        const [lastX, lastY] = ring.at(-1) ?? [0, 0];
        ring.push([lastX + (numbers[at] ?? 0), lastY + (numbers[at + 1] ?? 0)]);
      }
      return ring;
    });
}

/** Whether a point is inside by the even-odd rule (SVG 2, 13.4.2, fill-rule). */
export function isInside(rings: readonly (readonly Point[])[], [x, y]: Point): boolean {
  let inside = false;
  for (const ring of rings) {
    let [px, py] = ring.at(-1) ?? [0, 0];
    for (const [cx, cy] of ring) {
      if (cy > y !== py > y && x < px + ((y - py) / (cy - py)) * (cx - px)) inside = !inside;
      [px, py] = [cx, cy];
    }
  }
  return inside;
}
