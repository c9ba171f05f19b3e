import { determinant3, transformPoint } from '../../rig/mat4.js';
import { add, scale, subtract, type Vec3 } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { isClosed } from './closed.js';
import { meshTriangles } from './triangle-sums.js';

/** The centre of mass of the bind-posed mesh, world space. */
interface CentreOfMass {
  readonly place: Vec3;
  /** Whether it is that of the volume (closed mesh) or of the surface. */
  readonly of: 'volume' | 'surface';
}

/**
 * Of the volume when the mesh is closed: signed tetrahedra from one point, each with its centroid
 * (Mirtich 1996 in its simplest form). Else of the surface: triangles by area. Null without area.
 */
export const centreOfMass = fact((facts): CentreOfMass | null => {
  const { volume, surface } = centresOfMass(facts);
  if (volume !== null && isClosed(facts)) return { place: volume, of: 'volume' };
  return surface === null ? null : { place: surface, of: 'surface' };
});

/**
 * Both centres, null where there is no such amount, before it is known which one counts: whether a
 * mesh is closed costs more to find out.
 *
 * Summed in each mesh's own frame and then taken to the bind pose. A centroid follows any affine
 * map, a volume its determinant; areas are scaled evenly, as all but unevenly quantised meshes are.
 */
export const centresOfMass = fact((facts): Record<'volume' | 'surface', Vec3 | null> => {
  const { standing } = bindPose(facts);
  let [volume, area] = [0, 0];
  let byVolume: Vec3 = [0, 0, 0];
  let byArea: Vec3 = [0, 0, 0];
  let origin: Vec3 | null = null;
  for (const [part, sums] of meshTriangles(facts).entries()) {
    const matrix = standing[facts.rig.parts[part]?.skin ?? 0];
    if (matrix === undefined) continue;
    // All moments are taken about one point near the mesh: world coordinates would cost digits.
    const about: Vec3 = origin ?? transformPoint(matrix, sums.apex);
    origin = about;
    const growth = determinant3(matrix);
    const centre = (moment: Vec3, divisor: number): Vec3 =>
      subtract(transformPoint(matrix, add(sums.apex, scale(moment, 1 / divisor))), about);
    const partVolume = sums.volume * growth;
    const partArea = sums.area * Math.cbrt(growth * growth);
    if (sums.volume !== 0)
      byVolume = add(byVolume, scale(centre(sums.byVolume, 4 * sums.volume), partVolume));
    if (sums.area > 0) byArea = add(byArea, scale(centre(sums.byArea, 3 * sums.area), partArea));
    volume += partVolume;
    area += partArea;
  }
  if (origin === null) return { volume: null, surface: null };
  const span = Math.sqrt(area);
  // A mesh without volume (a card with two sides) has no centre of volume, closed or not.
  const isSolid = Math.abs(volume) > 1e-6 * span * span * span;
  return {
    volume: isSolid ? add(origin, scale(byVolume, 1 / volume)) : null,
    surface: area > 0 ? add(origin, scale(byArea, 1 / area)) : null,
  };
});
