import type { Facts, WantedOfRig } from '../measure/facts.js';
import { likeness } from '../measure/fit/likeness.js';
import type { ApprovedAsset, Rig } from '../rig/types.js';

/** The last pairing of each list of rigs, so that pictures ask for the measures that the report has taken. */
const pairings = new WeakMap<readonly Rig[], Pairing>();

interface Pairing {
  readonly asset: ApprovedAsset;
  readonly wanted: WantedOfRig;
  readonly pairs: readonly MeshPair[];
}

/** A rig of the model, and what of an asset has its mesh, with that model as its approved rig. */
export interface MeshPair {
  readonly model: Rig;
  readonly facts: Facts;
}

/** Whether a model can be laid over others: it has a mesh. */
export function hasMesh({ parts }: Rig): boolean {
  return parts.some(({ vertexCount }) => vertexCount > 0);
}

/**
 * Which rig of an asset has the mesh of which rig of the model: the best fits first. Each rig is there
 * once, and each of the model too, while there are enough of them: where an asset holds two rigs of one
 * mesh, both are compared, as they would be in a file each.
 */
export function pairByMesh(
  asset: ApprovedAsset,
  rigs: readonly Rig[],
  wanted: WantedOfRig,
): readonly MeshPair[] {
  const earlier = pairings.get(rigs);
  if (earlier?.asset === asset && earlier.wanted === wanted) return earlier.pairs;
  const all = asset.model.rigs.filter(hasMesh).flatMap((model) =>
    rigs.flatMap((rig) => {
      const facts: Facts = {
        rig,
        wanted,
        approved: { asset, rig: model, by: null, unanswered: [] },
      };
      const laid = likeness(facts)?.laid;
      return laid === undefined ? [] : [{ model, facts, share: laid.share }];
    }),
  );
  const pairs: MeshPair[] = [];
  for (const { model, facts } of all.sort((a, b) => b.share - a.share))
    if (!pairs.some((pair) => pair.model === model || pair.facts.rig === facts.rig))
      pairs.push({ model, facts });
  for (const { model, facts } of all)
    if (!pairs.some((pair) => pair.facts.rig === facts.rig)) pairs.push({ model, facts });
  pairings.set(rigs, { asset, wanted, pairs });
  return pairs;
}
