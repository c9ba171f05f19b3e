import { determinant3 } from '../../rig/mat4.js';
import { type Facts, fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { bindMesh, bindRow } from './bind-mesh.js';
import { joinSurface } from './surface.js';
import type { SurfaceGrid } from './surface-clusters.js';
import { gridOf } from './surface-grid.js';
import { meshTriangles } from './triangle-sums.js';

/** A mesh with less volume than this times its area to the power 3/2 is a card: a ball has 0.094. */
const LEAST_VOLUME = 1e-4;

/** The bind-posed mesh, parts that are inside out turned round, so that one does not undo another. */
export const surfaceGrid = fact((facts): SurfaceGrid => {
  const mesh = bindMesh(facts);
  const isInsideOut = partVolumes(facts).map(({ volume, area }) => {
    return volume < -LEAST_VOLUME * area ** 1.5;
  });
  const surface = isInsideOut.includes(true)
    ? joinSurface(facts.rig.parts, mesh.positions, (part) => isInsideOut[part] === true)
    : bindRow(facts);
  return gridOf(surface, mesh);
});

/** Whether the mesh has no volume to speak of. */
export function isFlat(facts: Facts): boolean {
  const parts = partVolumes(facts);
  const volume = parts.reduce((sum, part) => sum + Math.abs(part.volume), 0);
  const area = parts.reduce((sum, part) => sum + part.area, 0);
  return !(volume > LEAST_VOLUME * area ** 1.5);
}

/** Signed volume (of an open part: about its first vertex) and area of each part in the bind pose. */
const partVolumes = fact((facts): readonly { volume: number; area: number }[] => {
  const { standing } = bindPose(facts);
  return meshTriangles(facts).map(({ volume, area }, part) => {
    const matrix = standing[facts.rig.parts[part]?.skin ?? 0];
    const growth = matrix === undefined ? 1 : determinant3(matrix);
    return { volume: (volume / 6) * growth, area: (area / 2) * Math.cbrt(growth * growth) };
  });
});
