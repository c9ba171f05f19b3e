import type { Vec3 } from '../../rig/vec3.js';
import { type BendMesh, shareAbove, shareWithin } from './bend-mesh.js';
import {
  closeZone,
  isBlended,
  NEXT_TO_NOTHING,
  type ZoneSkin,
  type ZoneSolids,
} from './bend-solids.js';

/** The skin around one joint that changes its shape when the joint turns. */
export interface BendZone extends ZoneSkin {
  /** x, y, z a vertex in the bind pose, world directions, from the joint's place. */
  readonly places: Float64Array;
  /** Two vertices an edge, each edge once. */
  readonly edges: Uint32Array;
  /** Where the zone closes into solids. */
  readonly solids: ZoneSolids;
}

/** Room for building zones, one after the other, over one mesh. */
export class ZoneBuilder {
  private readonly seen: Int32Array;
  private readonly share: Float64Array;
  /** Number of each vertex in the zone, -1 until a triangle of the zone has it. */
  private readonly number: Int32Array;
  private readonly nodeSeen: Int32Array;
  private readonly node: Int32Array;

  constructor(private readonly mesh: BendMesh) {
    const count = mesh.weld.length;
    this.seen = new Int32Array(count);
    this.share = new Float64Array(count);
    this.number = new Int32Array(count);
    this.nodeSeen = new Int32Array(count);
    this.node = new Int32Array(count);
  }

  /** For a joint at `place`; `candidates` (triangles) and `branchEnd` are from `bendRegions`. */
  build(joint: number, branchEnd: Int32Array, place: Vec3, candidates: Int32Array): BendZone {
    const { mesh, share, number, node, nodeSeen } = this;
    const mark = joint + 1;
    const end = branchEnd[joint] ?? mark;
    const corners = new Uint32Array(3 * candidates.length);
    const vertices = new Uint32Array(3 * candidates.length);
    const nodes = new Uint32Array(3 * candidates.length);
    let [corner, vertexCount, nodeCount] = [0, 0, 0];
    for (let i = 0; i < candidates.length; i++) {
      const first = 3 * (candidates[i] ?? 0);
      const a = this.shareOf(mesh.corners[first] ?? 0, joint, end);
      const b = this.shareOf(mesh.corners[first + 1] ?? 0, joint, end);
      const c = this.shareOf(mesh.corners[first + 2] ?? 0, joint, end);
      const rest = a < NEXT_TO_NOTHING && b < NEXT_TO_NOTHING && c < NEXT_TO_NOTHING;
      const full = 1 - NEXT_TO_NOTHING;
      if (rest || (a > full && b > full && c > full)) continue;
      for (let k = first; k < first + 3; k++) {
        const vertex = mesh.corners[k] ?? 0;
        if (number[vertex] === -1) {
          number[vertex] = vertexCount;
          vertices[vertexCount] = vertex;
          const weld = mesh.weld[vertex] ?? 0;
          if (nodeSeen[weld] !== mark) {
            nodeSeen[weld] = mark;
            node[weld] = nodeCount++;
          }
          nodes[vertexCount++] = node[weld] ?? 0;
        }
        corners[corner++] = number[vertex] ?? 0;
      }
    }
    const places = new Float64Array(3 * vertexCount);
    const shares = new Float64Array(vertexCount);
    const above = new Float64Array(vertexCount);
    for (let i = 0; i < vertexCount; i++) {
      const vertex = vertices[i] ?? 0;
      const turning = share[vertex] ?? 0;
      shares[i] = turning;
      if (isBlended(turning)) above[i] = shareAbove(mesh, vertex, joint, branchEnd);
      for (let k = 0; k < 3; k++)
        places[3 * i + k] = (mesh.positions[3 * vertex + k] ?? 0) - (place[k] ?? 0);
    }
    const zone = { shares, above, corners: corners.subarray(0, corner) };
    const { edges, solids } = closeZone(zone, nodes.subarray(0, vertexCount), nodeCount);
    return { ...zone, places, edges, solids };
  }

  /** The share of a vertex, worked out once a zone. */
  private shareOf(vertex: number, joint: number, end: number): number {
    if (this.seen[vertex] !== joint + 1) {
      this.seen[vertex] = joint + 1;
      this.share[vertex] = shareWithin(this.mesh, vertex, joint, end);
      this.number[vertex] = -1;
    }
    return this.share[vertex] ?? 0;
  }
}
