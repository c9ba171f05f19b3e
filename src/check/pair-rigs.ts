import type { Approved, ApprovedAsset, PairedBy, Rig } from '../rig/types.js';

/** The last pairing of each list of rigs, so that pictures ask for the measures that rules have taken. */
const pairings = new WeakMap<readonly Rig[], Pairing>();

interface Pairing {
  readonly asset: ApprovedAsset;
  readonly pairs: ReadonlyMap<Rig, Approved>;
}

/** A rig and an approved one that could be its pair. */
interface Candidate {
  readonly rig: Rig;
  readonly approved: Rig;
  /** Names of joints that both have. */
  readonly shared: number;
  /** Whether the two rigs have one name. */
  readonly isNamesake: boolean;
  /** Joints of both. */
  readonly joints: number;
}

interface Pair {
  readonly approved: Rig;
  readonly by: PairedBy;
}

/**
 * Which approved rig each rig of an asset is compared with: where both have one, that; else the one that
 * shares most names of joints with it, which is given to one rig alone. Of several that share as many,
 * the one of the same name is taken, else the largest. Rigs without a name are paired in order, with one
 * of as many joints.
 */
export function pairRigs(asset: ApprovedAsset, rigs: readonly Rig[]): ReadonlyMap<Rig, Approved> {
  const earlier = pairings.get(rigs);
  if (earlier?.asset === asset) return earlier.pairs;
  const pairs = pairUp(asset.model.rigs, rigs);
  const answered = new Set([...pairs.values()].map(({ approved }) => approved));
  const unanswered = asset.model.rigs.filter((rig) => !answered.has(rig));
  const made = new Map(
    rigs.map((rig, at): [Rig, Approved] => {
      const { approved = null, by = null } = pairs.get(rig) ?? {};
      return [rig, { asset, rig: approved, by, unanswered: at === 0 ? unanswered : [] }];
    }),
  );
  pairings.set(rigs, { asset, pairs: made });
  return made;
}

function pairUp(theirs: readonly Rig[], rigs: readonly Rig[]): ReadonlyMap<Rig, Pair> {
  const [only, other] = [theirs[0], rigs[0]];
  if (theirs.length === 1 && rigs.length === 1 && only && other)
    return new Map([
      [other, { approved: only, by: { way: 'only', shared: sharedOf(other, only) } }],
    ]);
  const pairs = new Map<Rig, Pair>();
  const taken = new Set<Rig>();
  const take = (rig: Rig, approved: Rig, by: PairedBy): void => {
    pairs.set(rig, { approved, by });
    taken.add(approved);
  };
  const all = candidates(theirs, rigs);
  const isFree = ({ rig, approved }: Candidate): boolean => !pairs.has(rig) && !taken.has(approved);
  let tier: readonly Candidate[] = [];
  for (const candidate of all) {
    const { rig, approved, shared } = candidate;
    if (tier[0]?.shared !== shared)
      tier = all.filter((other) => other.shared === shared && isFree(other));
    if (!isFree(candidate)) continue;
    const rivals = tier.filter(
      (other) => other !== candidate && (other.rig === rig || other.approved === approved),
    );
    take(rig, approved, { way: wayOf(candidate, rivals), shared });
  }
  // Rigs without names are told apart by their order and by how many joints they have.
  for (const rig of rigs.filter((each) => !pairs.has(each) && isNameless(each))) {
    const alike = theirs.find(
      (approved) =>
        !taken.has(approved) && isNameless(approved) && approved.joints.count === rig.joints.count,
    );
    if (alike !== undefined) take(rig, alike, { way: 'count', shared: 0 });
  }
  return pairs;
}

/** All that share a name, the likelier first. The sort is stable: what is left keeps the order of the assets. */
function candidates(theirs: readonly Rig[], rigs: readonly Rig[]): Candidate[] {
  return rigs
    .flatMap((rig) =>
      theirs.map((approved): Candidate => {
        const joints = rig.joints.count + approved.joints.count;
        const isNamesake = rig.name === approved.name;
        return { rig, approved, shared: sharedOf(rig, approved), isNamesake, joints };
      }),
    )
    .filter(({ shared }) => shared > 0)
    .sort(
      (a, b) =>
        b.shared - a.shared || Number(b.isNamesake) - Number(a.isNamesake) || b.joints - a.joints,
    );
}

/** What spoke for a pair, against those of one of its rigs that share as many names. */
function wayOf(pair: Candidate, rivals: readonly Candidate[]): PairedBy['way'] {
  if (rivals.length === 0) return 'joints';
  if (pair.isNamesake && !rivals.some(({ isNamesake }) => isNamesake)) return 'name';
  return rivals.every(({ joints }) => joints < pair.joints) ? 'larger' : 'order';
}

function isNameless({ joints }: Rig): boolean {
  return joints.named.every((isNamed) => !isNamed);
}

function sharedOf(a: Rig, b: Rig): number {
  const names = new Set(b.joints.names.filter((_, joint) => b.joints.named[joint]));
  return a.joints.names.filter((name, joint) => a.joints.named[joint] && names.has(name)).length;
}
