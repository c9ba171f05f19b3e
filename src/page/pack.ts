import { approvedWords } from '../draw/approved-words.js';
import type { RigScene, Scene, SceneApproved, SceneChain, SceneMesh } from '../draw/scene.js';
import { DRAWN_INFLUENCES } from '../draw/strongest-four.js';
import { CLIP_LETTERS, packClips } from './pack-clips.js';
import { packed } from './packed.js';
import type { PageApproved, PageChain, PageData, PageMesh, PageRig } from './page-data.js';
import { type LightScene, lightScene } from './simplify.js';

/** Steps of a stored coordinate. */
const STEPS = 65_535;

/**
 * What the viewer needs, small enough for a page; clips that `messages` name are kept first.
 *
 * @param letters That the clips of a rig may take.
 */
export async function packScene(
  scene: Scene,
  messages = '',
  letters = CLIP_LETTERS,
): Promise<PageData> {
  const light = await lightScene(scene);
  return { rigs: light.scene.rigs.map((rig) => packRig(rig, light, messages, letters)) };
}

function packRig(rig: RigScene, light: LightScene, messages: string, letters: number): PageRig {
  const { before, after } = light;
  const { name, nodes, jointNodes, jointParents, size } = rig;
  const { clips, word } = packClips(rig.clips, nodes, messages, letters);
  const over = rig.approved && packApproved(rig, rig.approved, messages);
  const thinned = `To keep this page small, the mesh is shown with ${after} of its ${before} triangles. All of it was measured.`;
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
    chains: rig.chains.map(packChain),
    size,
    notes: [after < before ? thinned : null, word, ...(over?.notes ?? [])].filter(
      (note) => note !== null,
    ),
    ...(over && { approved: over.approved }),
  };
}

/** The approved rig, and what the viewer has to say of it. */
function packApproved({ nodes }: RigScene, over: SceneApproved, messages: string) {
  const { jointNodes, jointParents, jointAnswers, by, onto, held } = over;
  const { clips, word } = packClips(over.clips, [...over.nodes, ...nodes], messages);
  const skeleton = { nodes: over.nodes, jointNodes, jointParents, jointAnswers };
  const approved: PageApproved = { ...skeleton, by, onto, held, clips };
  const lost = word === null ? [] : [`Of the approved rig: ${word}`];
  return { approved, notes: [approvedWords(over), ...lost] };
}

function packChain({ joints, curl: { carried, letters }, bound }: SceneChain): PageChain {
  return { joints, carried, letters, ...(bound && { bound }) };
}

/** A mesh in its own frame, with its numbers packed. */
export function packMesh({
  label,
  skin,
  positions,
  triangles,
  slots,
  weights,
}: SceneMesh): PageMesh {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const value = positions[i] ?? 0;
    if (value < (low[i % 3] ?? 0)) low[i % 3] = value;
    if (value > (high[i % 3] ?? 0)) high[i % 3] = value;
  }
  const range = (axis: number): [from: number, step: number] => {
    const [from = 0, to = 0] = [low[axis], high[axis]];
    return from <= to ? [from, (to - from) / STEPS] : [0, 0];
  };
  const [[x, stepX], [y, stepY], [z, stepZ]] = [range(0), range(1), range(2)];
  const [origin, step] = [[x, y, z] as const, [stepX, stepY, stepZ] as const];
  const stored = new Uint16Array(positions.length);
  for (let i = 0; i < positions.length; i++) {
    const width = step[i % 3] ?? 0;
    stored[i] = width > 0 ? Math.round(((positions[i] ?? 0) - (origin[i % 3] ?? 0)) / width) : 0;
  }
  const small = positions.length / 3 <= STEPS;
  return {
    label,
    skin,
    origin,
    step,
    positions: packed(stored),
    triangles: packed(small ? Uint16Array.from(triangles) : triangles),
    slots: packed(slots),
    weights: packed(packWeights(weights)),
  };
}

/**
 * Steps of 1/255 that sum to what the weights do: whole steps first, those left go to the largest remainders.
 * One weight is 255 steps at most.
 */
function packWeights(weights: Float32Array): Uint8Array {
  const out = new Uint8Array(weights.length);
  for (let first = 0; first < weights.length; first += DRAWN_INFLUENCES) {
    let sum = 0;
    for (let place = first; place < first + DRAWN_INFLUENCES; place++) sum += weights[place] ?? 0;
    // A vertex that nothing moves keeps its zeros.
    if (!(sum > 0)) continue;
    let left = Math.max(1, Math.round(255 * sum));
    const rest: [remainder: number, place: number][] = [];
    for (let place = first; place < first + DRAWN_INFLUENCES; place++) {
      const exact = 255 * (weights[place] ?? 0);
      out[place] = Math.min(255, Math.floor(exact));
      left -= Math.floor(exact);
      rest.push([exact - Math.floor(exact), place]);
    }
    rest.sort((a, b) => b[0] - a[0] || a[1] - b[1]);
    for (const [, place] of rest.slice(0, left)) out[place] = Math.min(255, (out[place] ?? 0) + 1);
  }
  return out;
}
