import type { RigScene, Scene, SceneMesh } from '../draw/scene.js';
import { DRAWN_INFLUENCES } from '../draw/strongest-four.js';
import { packClips } from './pack-clips.js';
import { packed } from './packed.js';
import type { PageData, PageMesh, PageRig } from './page-data.js';
import { type LightScene, lightScene } from './simplify.js';

/** Makes what the page's viewer is handed, small enough for a page. `told` is what findings say: clips they name are kept first. */
export async function packScene(scene: Scene, told = ''): Promise<PageData> {
  const light = await lightScene(scene);
  return { rigs: light.scene.rigs.map((rig) => packRig(rig, light, told)) };
}

function packRig(rig: RigScene, light: LightScene, told: string): PageRig {
  const { clips, word } = packClips(rig.clips, rig.nodes, told);
  const { before, after } = light;
  const thinned = `To keep this page small, the mesh is shown with ${after} of its ${before} triangles. All of it was measured.`;
  const { name, nodes, jointNodes, jointParents, size } = rig;
  return {
    name,
    nodes,
    jointNodes,
    jointParents,
    skins: rig.skins.map(({ slots, inverseBind }) => ({
      slots,
      inverseBind: packed(Float32Array.from(inverseBind)),
    })),
    meshes: rig.meshes.map(packMesh),
    clips,
    chains: rig.chains.map(({ joints, about: { up, side } }) => ({
      joints,
      about: {
        up: { own: up.own.axes, ideal: up.ideal.axes },
        side: { own: side.own.axes, ideal: side.ideal.axes },
      },
    })),
    size,
    notes: [...(after < before ? [thinned] : []), ...(word === null ? [] : [word])],
  };
}

/** Steps of a stored coordinate. */
const STEPS = 65_535;

function packMesh(mesh: SceneMesh): PageMesh {
  const { positions, triangles } = mesh;
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const value = positions[i] ?? 0;
    if (value < (low[i % 3] ?? 0)) low[i % 3] = value;
    if (value > (high[i % 3] ?? 0)) high[i % 3] = value;
  }
  const of = (axis: number): [number, number] => {
    const [from = 0, to = 0] = [low[axis], high[axis]];
    return from <= to ? [from, (to - from) / STEPS] : [0, 0];
  };
  const [[x, stepX], [y, stepY], [z, stepZ]] = [of(0), of(1), of(2)];
  const [origin, step] = [[x, y, z] as const, [stepX, stepY, stepZ] as const];
  const stored = new Uint16Array(positions.length);
  for (let i = 0; i < positions.length; i++) {
    const own = step[i % 3] ?? 0;
    stored[i] = own > 0 ? Math.round(((positions[i] ?? 0) - (origin[i % 3] ?? 0)) / own) : 0;
  }
  const small = positions.length / 3 <= STEPS;
  return {
    label: mesh.label,
    skin: mesh.skin,
    origin,
    step,
    positions: packed(stored),
    triangles: packed(small ? Uint16Array.from(triangles) : triangles),
    slots: packed(mesh.slots),
    weights: packed(packWeights(mesh.weights)),
  };
}

/** Steps of 1/255 that sum to 255: whole steps first, those left go to the largest remainders. */
function packWeights(weights: Float32Array): Uint8Array {
  const out = new Uint8Array(weights.length);
  for (let at = 0; at < weights.length; at += DRAWN_INFLUENCES) {
    let left = 255;
    const rest: [remainder: number, place: number][] = [];
    for (let place = at; place < at + DRAWN_INFLUENCES; place++) {
      const exact = 255 * (weights[place] ?? 0);
      out[place] = Math.floor(exact);
      left -= Math.floor(exact);
      rest.push([exact - Math.floor(exact), place]);
    }
    // A vertex that nothing moves keeps its zeros.
    if (left === 255) continue;
    rest.sort((a, b) => b[0] - a[0] || a[1] - b[1]);
    for (const [, place] of rest.slice(0, left)) out[place] = (out[place] ?? 0) + 1;
  }
  return out;
}
