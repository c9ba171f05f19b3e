import type { SkinnedPart } from '../../rig/types.js';

/** Triangles of any number of meshes in one frame. */
export interface Surface {
  /** x, y, z a vertex. */
  readonly positions: Float32Array;
  /** Three vertex indices a triangle. */
  readonly triangles: Uint32Array;
}

/** The triangles of some parts as one surface, those of parts that are inside out turned round. */
export function joinSurface(
  parts: readonly Pick<SkinnedPart, 'triangles'>[],
  positions: readonly Float32Array[],
  insideOut: (part: number) => boolean = () => false,
): Surface {
  const [own, corners] = [positions[0], parts[0]?.triangles];
  const isOne = parts.length === 1 && !insideOut(0);
  if (isOne && own !== undefined && corners instanceof Uint32Array)
    return { positions: own, triangles: corners };
  const count = (lists: readonly ({ readonly length: number } | null | undefined)[]): number =>
    lists.reduce((sum, list) => sum + (list?.length ?? 0), 0);
  const all = new Float32Array(count(positions));
  const triangles = new Uint32Array(count(parts.map((part) => part.triangles)));
  let [vertex, corner] = [0, 0];
  parts.forEach((part, index) => {
    all.set(positions[index] ?? [], 3 * vertex);
    if (part.triangles !== null) {
      triangles.set(part.triangles, corner);
      settle(triangles.subarray(corner, corner + part.triangles.length), vertex, insideOut(index));
      corner += part.triangles.length;
    }
    vertex += (positions[index]?.length ?? 0) / 3;
  });
  return { positions: all, triangles };
}

function settle(triangles: Uint32Array, firstVertex: number, turnRound: boolean): void {
  if (firstVertex === 0 && !turnRound) return;
  for (let i = 0; i + 2 < triangles.length; i += 3) {
    const [b, c] = turnRound ? [i + 2, i + 1] : [i + 1, i + 2];
    const [second, third] = [triangles[b] ?? 0, triangles[c] ?? 0];
    triangles[i] = (triangles[i] ?? 0) + firstVertex;
    triangles[i + 1] = second + firstVertex;
    triangles[i + 2] = third + firstVertex;
  }
}
