import { restMesh, restWorld } from '../../draw/rest-mesh.js';
import type { RigScene, SceneMesh } from '../../draw/scene.js';
import type { View } from '../../draw/view.js';
import type { LiveMesh, LivePair, LiveSide, Pooled } from '../../page/handbook-live.js';
import { packMesh } from '../../page/pack.js';
import { packed } from '../../page/packed.js';
import type { Packed } from '../../page/page-data.js';
import { lightMesh } from '../../page/simplify.js';
import type { Letter } from '../../rig/letters.js';
import { type PairSide, type PairSource, rigScene } from './pair-source.js';

/** What of a chain is curled, and how it is shown at first. */
export interface CurlWanted {
  /** Names of the joints that turn, the first at the body. */
  readonly joints: readonly string[];
  /** Those of the side at fault, where they are others. */
  readonly atFault?: readonly string[];
  /** What they are called, where that is not from the first to the last. */
  readonly called?: string;
  readonly letter: Letter;
  readonly degrees: number;
  readonly view: View['name'];
}

/** Triangles of a mesh that is curled: it is shown small, and many are on a page. */
const TRIANGLES = 2200;

/** Texts of packed numbers, each once: both sides of a pair hardly differ. */
export class Pool {
  private readonly indices = new Map<string, number>();

  add({ type, base64 }: Packed): Pooled {
    const at = this.indices.get(base64) ?? this.indices.size;
    this.indices.set(base64, at);
    return { type, at };
  }

  texts(): string[] {
    return [...this.indices.keys()];
  }
}

/** Both sides as the script of the handbook curls them. Throws for a joint that a side does not have. */
export function livePair(source: PairSource, wanted: CurlWanted, pool: Pool): LivePair {
  const { joints, atFault = joints, called, letter, degrees, view } = wanted;
  const ends = [joints[0] ?? '', joints.at(-1) ?? ''] as const;
  const sides = [
    liveSide(source, source.atFault, atFault, pool),
    liveSide(source, source.mended, joints, pool),
  ] as const;
  return { ends, ...(called !== undefined && { called }), letter, degrees, view, sides };
}

function liveSide(
  source: PairSource,
  side: PairSide,
  turned: readonly string[],
  pool: Pool,
): LiveSide {
  const [stored] = side.scene.rigs;
  const shown = rigScene(source, side);
  if (stored === undefined || shown === null) throw new Error('a file without a rig has no curl');
  const names = side.report.rigs[0]?.joints.map(({ name }) => name) ?? [];
  const nodeOf = (name: string): number => {
    const node = stored.jointNodes[names.indexOf(name)];
    if (node === undefined) throw new Error(`no joint is called ${name}`);
    return node;
  };
  return {
    parents: stored.nodes.map(({ parent }) => parent),
    shown: pool.add(locals(shown)),
    bound: pool.add(locals(stored)),
    joints: stored.jointNodes,
    turned: turned.map(nodeOf),
    mesh: liveMesh(stored, pool),
  };
}

function locals({ nodes }: RigScene): Packed {
  return packed(Float32Array.from(nodes.flatMap(({ local }) => local)));
}

/** By scene: both sides and several pairs show the same one. */
function liveMesh(rig: RigScene, pool: Pool): LiveMesh {
  const whole = asOneMesh(rig);
  const share = TRIANGLES / (whole.triangles.length / 3);
  const light = share < 1 ? lightMesh(whole, share) : whole;
  const { origin, step, positions, triangles, slots, weights } = packMesh(light);
  return {
    origin,
    step,
    positions: pool.add(positions),
    triangles: pool.add(triangles),
    slots: pool.add(slots),
    weights: pool.add(weights),
  };
}

/** All meshes of a rig in the world as stored; slots are nodes. */
function asOneMesh(rig: RigScene): SceneMesh {
  const { positions, triangles } = restMesh(rig, restWorld(rig));
  const slots = new Uint16Array((4 * positions.length) / 3);
  const weights = new Float32Array(slots.length);
  let at = 0;
  for (const mesh of rig.meshes) {
    const nodes = rig.skins[mesh.skin]?.slots ?? [];
    slots.set(
      mesh.slots.map((slot) => nodes[slot] ?? 0),
      at,
    );
    weights.set(mesh.weights, at);
    at += mesh.slots.length;
  }
  return { label: '', skin: 0, positions, triangles, slots, weights };
}
