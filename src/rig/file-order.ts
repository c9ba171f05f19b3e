import type { Rig } from './types.js';

/**
 * Two readings of one asset, before and after it was changed: which rig is which. A change can rename
 * joints and so move a rig to another place in the list; the order of the file stays.
 *
 * @returns Pairs of rigs; the second is undefined where it is gone.
 */
export function sameRigs(
  before: readonly Rig[],
  after: readonly Rig[],
): readonly (readonly [before: Rig, after: Rig | undefined])[] {
  const inFileOrder = (rigs: readonly Rig[]): Rig[] =>
    [...rigs].sort((a, b) => firstSkin(a) - firstSkin(b));
  const changed = inFileOrder(after);
  return inFileOrder(before).map((rig, index) => [rig, changed[index]]);
}

function firstSkin({ skins }: Rig): number {
  return Math.min(...skins.map(({ index }) => index));
}

/** Places in `rig.parts`, in the order of the file: by node, then by primitive. */
export function partsInFileOrder({ parts }: Rig): number[] {
  return [...parts.keys()].sort(
    (a, b) =>
      (parts[a]?.node ?? 0) - (parts[b]?.node ?? 0) ||
      (parts[a]?.primitive ?? 0) - (parts[b]?.primitive ?? 0),
  );
}
