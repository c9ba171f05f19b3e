import { bendMesh, shareWithin } from '../../src/measure/bend/bend-mesh.js';
import { turnPoints } from '../../src/measure/bend/bend-points.js';
import { bendRegions } from '../../src/measure/bend/bend-regions.js';
import type { Facts } from '../../src/measure/facts.js';
import { bindRow } from '../../src/measure/geometry/bind-mesh.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import type { Vec3 } from '../../src/rig/vec3.js';

/**
 * Where all skin of a rig stands when one joint is turned from the bind pose, per part x, y, z a
 * vertex; world space. Vertices that no joint moves stand still.
 *
 * @param axis World space, unit length.
 */
export function bentSkin(facts: Facts, joint: number, axis: Vec3, degrees: number): Float64Array[] {
  const mesh = bendMesh(facts);
  const end = bendRegions(facts).branchEnd[joint] ?? joint + 1;
  const at = bindPose(facts).places[joint] ?? [0, 0, 0];
  const shares = new Float64Array(mesh.weld.length);
  for (let vertex = 0; vertex < shares.length; vertex++)
    shares[vertex] = shareWithin(mesh, vertex, joint, end);
  const places = new Float64Array(mesh.positions);
  for (let i = 0; i < places.length; i++) places[i] = (places[i] ?? 0) - (at[i % 3] ?? 0);
  const posed = turnPoints(places, shares, axis, degrees);
  for (let i = 0; i < posed.length; i++) posed[i] = (posed[i] ?? 0) + (at[i % 3] ?? 0);
  const { offsets } = bindRow(facts);
  return facts.rig.parts.map(({ vertexCount }, part) => {
    const first = 3 * (offsets[part] ?? 0);
    return posed.slice(first, first + 3 * vertexCount);
  });
}
