import type { WantedOfRig } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { sameRigs } from '../../rig/file-order.js';
import type { RigModel } from '../../rig/types.js';
import type { Looks } from './looks.js';
import { LARGEST_SHIFT, LARGEST_TURN } from './proof-limits.js';
import type { ProofRecord } from './proof-record.js';
import { proveRig } from './proof-rig.js';
import { joined, NOTHING, type Pair, type Proof, type Seen, worse } from './proof-seen.js';
import { compareShown } from './proof-shown.js';

export type { Proof, ProofPlace, Seen } from './proof-seen.js';

/**
 * Skins every vertex of both files (glTF 2.0, 3.7.3 Skins) in the stored pose and at all sampled times of
 * all clips (each key, and one point between each two), and gives the largest distance between the two. With
 * `looks`, normals and tangents are compared too, and morph targets are shown: with the weights of the pose,
 * and each at full weight by itself. In clips a bound replaces the vertices where it is far below all that
 * counts (`proof-bounds.ts`). Plain meshes, cameras and lights must stay in their places, too. Throws Error
 * where the two do not hold the same meshes, which no mend may bring about.
 *
 * @param wanted What the check holds the rigs to; its measures are then taken once.
 * @param tell Is told after each pose what share of the poses was compared.
 * @param record Is given what each pose of a clip shows.
 */
export function proveSame(
  before: RigModel,
  after: RigModel,
  looks: Pair<Looks> | null = null,
  wanted: WantedOfRig = { aim: null, up: null },
  tell: (share: number) => void = () => undefined,
  record: ProofRecord | null = null,
): Proof {
  let proof = NOTHING;
  const sizes: number[] = [];
  const pairs = sameRigs(before.rigs, after.rigs);
  for (const [at, [rig, other]] of pairs.entries()) {
    if (other === undefined) throw new Error(`the rig "${rig.name}" is gone`);
    const extent = size({ rig, wanted });
    proof = joined(
      proof,
      proveRig([rig, other], looks, extent, (share) => tell((at + share) / pairs.length), record),
    );
    sizes[rig.index] = extent;
  }
  if (looks === null) return proof;
  const scenes = [looks[0].scene, looks[1].scene] as const;
  const sizeOf = (node: number): number => sizeAt(before, sizes, node);
  const { stored, clips } = compareShown([before.nodes, after.nodes], scenes, sizeOf, record);
  return joined(proof, { ...NOTHING, ...worse(stored, clips), stored, clips });
}

/** The size of the rig that a node hangs on, else of the largest; 1 where none has a size. */
function sizeAt({ nodes, rigs }: RigModel, sizes: readonly number[], node: number): number {
  for (let at = node; at !== -1; at = nodes.parent[at] ?? -1) {
    const extent = sizes[rigs.findIndex(({ joints }) => joints.ofNode[at] !== -1)] ?? 0;
    if (extent > 0) return extent;
  }
  return Math.max(0, ...sizes) || 1;
}

/** Whether somebody could see it. */
export function isSeen({ share, turn }: Pick<Seen, 'share' | 'turn'>): boolean {
  // Also true for NaN.
  return !(share <= LARGEST_SHIFT && turn <= LARGEST_TURN);
}
