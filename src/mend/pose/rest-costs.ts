import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { ClipPose, differentTimes } from '../../measure/pose/clip-sampling.js';
import { restAgainstBind } from '../../measure/pose/rest-against-bind.js';
import { invert, mat4At, multiply, transformDirection, transformPoint } from '../../rig/mat4.js';
import type { Rig, SkinnedPart } from '../../rig/types.js';
import { length, scale, subtract, type Vec3, vec3At } from '../../rig/vec3.js';

/** What either way to make the stored pose and the bind pose the same would show. Shares of size. */
export interface RestCosts {
  /** How far vertices move as stored, where the bind pose is stored; clips play as before. */
  readonly bind: number;
  /** How far they move in clips, where the mesh is bound in the stored pose, which stays as it is. */
  readonly pose: number;
}

/** What one vertex that several joints move is off by itself, by each of these joints. */
interface Bent {
  readonly joints: readonly number[];
  /** The weight times the difference of where the joint alone and where all of them put it, as stored. */
  readonly differences: readonly Vec3[];
  /** As far as it can move while nothing is scaled. World units. */
  readonly most: number;
}

/** Vertices that are followed through all clips: those that can move farthest. */
const FOLLOWED = 500;

const known = new WeakMap<Rig, RestCosts>();

/** Worked out once for each rig, since each round of a mend asks for it. */
export function restCosts(facts: Facts): RestCosts {
  const extent = size(facts);
  const costs = known.get(facts.rig) ?? {
    bind: restAgainstBind(facts).shift / extent,
    pose: mostInClips(facts.rig) / extent,
  };
  known.set(facts.rig, costs);
  return costs;
}

/**
 * How far binding the mesh in the stored pose moves a vertex in any clip, at its keys: with p the vertex and
 * M_j = W_j B_j as stored, it is bound at q, the sum of w_j M_j p, and so in a pose W' it moves by the sum of
 * w_j W'_j W_j^-1 (q - M_j p). (That is nothing for a vertex that one joint moves.)
 */
function mostInClips(rig: Rig): number {
  const bent = rig.parts
    .flatMap((part) => bentVertices(rig, part))
    .sort((a, b) => b.most - a.most)
    .slice(0, FOLLOWED);
  const joints = [...new Set(bent.flatMap(({ joints: all }) => all))];
  const back = new Map(
    joints.map((joint) => [joint, invert(mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0))]),
  );
  let most = 0;
  for (const clip of rig.clips) {
    const pose = new ClipPose(rig, clip);
    for (const time of differentTimes(clip.channels)) {
      pose.seek(time);
      const moves = new Map(
        joints.map((joint) => {
          const world = Float64Array.from(pose.worldOf(rig.joints.node[joint] ?? 0));
          return [joint, multiply(world, back.get(joint) ?? new Float64Array(16))];
        }),
      );
      for (const { joints: all, differences } of bent) {
        let [x, y, z] = [0, 0, 0];
        all.forEach((joint, at) => {
          const move = moves.get(joint) ?? new Float64Array(16);
          const moved = transformDirection(move, differences[at] ?? [0, 0, 0]);
          [x, y, z] = [x + moved[0], y + moved[1], z + moved[2]];
        });
        most = Math.max(most, Math.hypot(x, y, z));
      }
    }
  }
  return most;
}

function bentVertices(rig: Rig, part: SkinnedPart): Bent[] {
  const { influences, weights, slots, positions, vertexCount } = part;
  const skin = rig.skins[part.skin];
  if (skin === undefined) return [];
  const matrices = Array.from(skin.jointOfSlot, (joint, slot) =>
    multiply(mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0), mat4At(skin.inverseBind, slot)),
  );
  const found: Bent[] = [];
  for (let vertex = 0; vertex < vertexCount; vertex++) {
    const moving: { readonly joint: number; readonly weight: number; readonly place: Vec3 }[] = [];
    let [x, y, z, sum] = [0, 0, 0, 0];
    for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
      const [weight, slot] = [weights[k] ?? 0, slots[k] ?? 0];
      const matrix = matrices[slot];
      if (!(weight > 0) || matrix === undefined) continue;
      const place = transformPoint(matrix, vec3At(positions, vertex));
      moving.push({ joint: skin.jointOfSlot[slot] ?? 0, weight, place });
      [x, y, z] = [x + weight * place[0], y + weight * place[1], z + weight * place[2]];
      sum += weight;
    }
    if (moving.length < 2) continue;
    const bound: Vec3 = [x / sum, y / sum, z / sum];
    const differences = moving.map(({ weight, place }) =>
      scale(subtract(bound, place), weight / sum),
    );
    const most = differences.reduce((total, difference) => total + length(difference), 0);
    if (most > 0) found.push({ joints: moving.map(({ joint }) => joint), differences, most });
  }
  return found;
}
