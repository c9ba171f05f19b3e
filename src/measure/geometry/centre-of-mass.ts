import { determinant3, type Mat4, transformPoint } from '../../rig/mat4.js';
import type { SkinnedPart } from '../../rig/types.js';
import { add, scale, subtract, type Vec3 } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { closedTriangles, isClosed } from './closed.js';
import { meshTriangles, sumTriangles, type TriangleSums } from './triangle-sums.js';

/** The centre of mass of the bind-posed mesh, world space. */
export interface CentreOfMass {
  readonly place: Vec3;
  /** Whether it is that of the volume (closed mesh) or of the surface. */
  readonly of: 'volume' | 'surface';
}

/** Both centres that a mesh can have; null where it has no such amount. World space. */
export interface Centres {
  readonly volume: Vec3 | null;
  readonly surface: Vec3 | null;
}

/**
 * Of the volume when the mesh is closed: signed tetrahedra from one point, each with its centroid
 * (Mirtich 1996 in its simplest form). Else of the surface: triangles by area. Null without area.
 */
export const centreOfMass = fact((facts): CentreOfMass | null => {
  return choose(centresOfMass(facts), () => isClosed(facts));
});

/**
 * Both centres, before it is known which one counts: whether a mesh is closed costs more to find out.
 *
 * Summed in each mesh's own frame and then taken to the bind pose. A centroid follows any affine
 * map, a volume its determinant; areas are scaled evenly, as all but unevenly quantised meshes are.
 */
export const centresOfMass = fact((facts): Centres => {
  const { standing } = bindPose(facts);
  return combine(
    meshTriangles(facts).flatMap(({ sums, apex }, part) => {
      const matrix = standing[facts.rig.parts[part]?.skin ?? 0];
      return matrix === undefined ? [] : [{ sums, apex, matrix }];
    }),
  );
});

/** The centre for triangles in one frame. `apex` is where the tetrahedra meet: a point near keeps digits. */
export function centreOfTriangles(
  parts: readonly Pick<SkinnedPart, 'triangles'>[],
  positions: readonly Float32Array[],
  apex: Vec3,
): CentreOfMass | null {
  const sums = parts.map((part, index) => {
    const p = positions[index] ?? new Float32Array(0);
    const area = new Float64Array(p.length / 3);
    return { sums: sumTriangles(part, p, apex, area), apex, matrix: null };
  });
  return choose(combine(sums), () => closedTriangles(parts, positions));
}

function choose({ volume, surface }: Centres, closed: () => boolean): CentreOfMass | null {
  if (volume !== null && closed()) return { place: volume, of: 'volume' };
  return surface === null ? null : { place: surface, of: 'surface' };
}

interface PlacedSums {
  readonly sums: TriangleSums;
  readonly apex: Vec3;
  /** Takes the part to the common frame; null when it is there. */
  readonly matrix: Mat4 | null;
}

function combine(parts: readonly PlacedSums[]): Centres {
  let [volume, area] = [0, 0];
  let byVolume: Vec3 = [0, 0, 0];
  let byArea: Vec3 = [0, 0, 0];
  const first = parts[0];
  if (first === undefined) return { volume: null, surface: null };
  // All moments are taken about one point near the mesh: world coordinates would cost digits.
  const origin = place(first.apex, first.matrix);
  for (const { sums, apex, matrix } of parts) {
    const growth = matrix === null ? 1 : determinant3(matrix);
    const centre = (moment: Vec3, divisor: number): Vec3 => {
      return subtract(place(add(apex, scale(moment, 1 / divisor)), matrix), origin);
    };
    const ownVolume = sums.volume * growth;
    const ownArea = sums.area * Math.cbrt(growth * growth);
    if (sums.volume !== 0)
      byVolume = add(byVolume, scale(centre(sums.byVolume, 4 * sums.volume), ownVolume));
    if (sums.area > 0) byArea = add(byArea, scale(centre(sums.byArea, 3 * sums.area), ownArea));
    volume += ownVolume;
    area += ownArea;
  }
  const span = Math.sqrt(area);
  // A mesh without volume (a card with two sides) has no centre of volume, closed or not.
  const solid = Math.abs(volume) > 1e-6 * span * span * span;
  return {
    volume: solid ? add(origin, scale(byVolume, 1 / volume)) : null,
    surface: area > 0 ? add(origin, scale(byArea, 1 / area)) : null,
  };
}

function place(point: Vec3, matrix: Mat4 | null): Vec3 {
  return matrix === null ? point : transformPoint(matrix, point);
}
