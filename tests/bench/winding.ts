import { loadAssetBytes } from '../../src/asset/load-asset.js';
import { bindMesh } from '../../src/measure/geometry/bind-mesh.js';
import { joinSurface } from '../../src/measure/geometry/surface.js';
import { gridOf } from '../../src/measure/geometry/surface-grid.js';
import { windingNumbers } from '../../src/measure/geometry/winding-number.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import { bigRig } from './big-rig.js';
import { median } from './processes.js';

/** The winding numbers of one mesh at its joints, the sorting of the mesh included. */
export interface WindingTime {
  readonly triangles: number;
  readonly joints: number;
  readonly milliseconds: number;
}

const RUNS = 9;

/** Times winding numbers in this process, after one run that is not counted. */
export async function timeWinding(vertices: number, joints: number): Promise<WindingTime> {
  const bytes = bigRig({ vertices, joints, keys: 0, textureBytes: 0 });
  const [rig] = buildRigs(await loadAssetBytes(bytes, null)).rigs;
  if (rig === undefined) throw new Error('the file holds no rig');
  const facts = { rig, wanted: { aim: null, up: null } };
  const surface = joinSurface(rig.parts, bindMesh(facts).positions);
  const places = bindPose(facts).places.flat();
  const times: number[] = [];
  for (let at = -1; at < RUNS; at++) {
    const start = performance.now();
    windingNumbers(gridOf(surface, bindMesh(facts)), places);
    if (at >= 0) times.push(performance.now() - start);
  }
  return {
    triangles: surface.triangles.length / 3,
    joints: rig.joints.count,
    milliseconds: median(times),
  };
}
