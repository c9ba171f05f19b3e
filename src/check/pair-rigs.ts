import type { Approved, ApprovedAsset, Rig } from '../rig/types.js';

/** The last pairing of each list of rigs, so that pictures ask for the measures that rules have taken. */
const pairings = new WeakMap<readonly Rig[], Pairing>();

interface Pairing {
  readonly asset: ApprovedAsset;
  readonly pairs: ReadonlyMap<Rig, Approved>;
}

/**
 * Which approved rig each rig of an asset is compared with: where both have one, that; else the one that
 * shares most names of joints with it, which is given to one rig alone. Rigs without a name are paired in
 * order, with one of as many joints.
 */
export function pairRigs(asset: ApprovedAsset, rigs: readonly Rig[]): ReadonlyMap<Rig, Approved> {
  const earlier = pairings.get(rigs);
  if (earlier?.asset === asset) return earlier.pairs;
  const pairs = pair(asset, rigs);
  pairings.set(rigs, { asset, pairs });
  return pairs;
}

function pair(asset: ApprovedAsset, rigs: readonly Rig[]): ReadonlyMap<Rig, Approved> {
  const theirs = asset.model.rigs;
  const pairs = new Map<Rig, Rig>();
  const [only, other] = [theirs[0], rigs[0]];
  if (theirs.length === 1 && rigs.length === 1 && only && other) pairs.set(other, only);
  else {
    const shared = rigs.flatMap((rig) =>
      theirs.map((approved) => ({ rig, approved, count: sharedNames(rig, approved) })),
    );
    const taken = new Set<Rig>();
    // The sort is stable: rigs that share as many keep the order of the assets.
    for (const { rig, approved, count } of shared.sort((a, b) => b.count - a.count))
      if (count > 0 && !pairs.has(rig) && !taken.has(approved)) {
        pairs.set(rig, approved);
        taken.add(approved);
      }
    // Rigs without names are told apart by their order and by how many joints they have.
    for (const rig of rigs.filter((each) => !pairs.has(each) && isNameless(each))) {
      const alike = theirs.find(
        (approved) =>
          !taken.has(approved) &&
          isNameless(approved) &&
          approved.joints.count === rig.joints.count,
      );
      if (alike === undefined) continue;
      pairs.set(rig, alike);
      taken.add(alike);
    }
  }
  const answered = new Set(pairs.values());
  const unanswered = theirs.filter((rig) => !answered.has(rig));
  return new Map(
    rigs.map((rig, at) => [
      rig,
      { asset, rig: pairs.get(rig) ?? null, unanswered: at === 0 ? unanswered : [] },
    ]),
  );
}

function isNameless({ joints }: Rig): boolean {
  return joints.named.every((isNamed) => !isNamed);
}

function sharedNames(a: Rig, b: Rig): number {
  const names = new Set(b.joints.names.filter((_, joint) => b.joints.named[joint]));
  return a.joints.names.filter((name, joint) => a.joints.named[joint] && names.has(name)).length;
}
