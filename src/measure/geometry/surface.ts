import type { SkinnedPart } from '../../rig/types.js';

/** Triangles of any number of meshes in one frame. */
export interface Surface {
  /** x, y, z a vertex. */
  readonly positions: Float32Array;
  /** Three vertex indices a triangle. */
  readonly triangles: Uint32Array;
}

/** The vertices of several parts are numbered one part after the other. */
export interface JoinedSurface extends Surface {
  /** Number of each part's first vertex. */
  readonly offsets: readonly number[];
}

/** The triangles of some parts as one surface, those of parts that are inside out turned round. */
export function joinSurface(
  parts: readonly Pick<SkinnedPart, 'triangles'>[],
  positions: readonly Float32Array[],
  isInsideOut: (part: number) => boolean = () => false,
): JoinedSurface {
  const offsets: number[] = [];
  let [vertexCount, cornerCount] = [0, 0];
  parts.forEach((part, index) => {
    offsets.push(vertexCount);
    vertexCount += (positions[index]?.length ?? 0) / 3;
    cornerCount += part.triangles?.length ?? 0;
  });
  const isOne = parts.length === 1;
  const [only = new Float32Array(0)] = positions;
  const all = isOne ? only : new Float32Array(3 * vertexCount);
  const corners = parts[0]?.triangles;
  if (isOne && corners instanceof Uint32Array && !isInsideOut(0))
    return { positions: only, triangles: corners, offsets };
  const triangles = new Uint32Array(cornerCount);
  let corner = 0;
  parts.forEach((part, index) => {
    const first = offsets[index] ?? 0;
    if (!isOne) all.set(positions[index] ?? [], 3 * first);
    const list = part.triangles ?? new Uint8Array(0);
    const [second, third] = isInsideOut(index) ? [2, 1] : [1, 2];
    for (let i = 0; i + 2 < list.length; i += 3) {
      triangles[corner++] = first + (list[i] ?? 0);
      triangles[corner++] = first + (list[i + second] ?? 0);
      triangles[corner++] = first + (list[i + third] ?? 0);
    }
  });
  return { positions: all, triangles, offsets };
}
