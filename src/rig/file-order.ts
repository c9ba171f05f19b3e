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
  const [old, now] = [before, after].map((rigs) =>
    [...rigs].sort((a, b) => firstSkin(a) - firstSkin(b)),
  );
  return (old ?? []).map((rig, at) => [rig, now?.[at]]);
}

function firstSkin({ skins }: Rig): number {
  return skins.reduce((least, { index }) => Math.min(least, index), Infinity);
}

/** Places in `rig.parts`, in the order of the file: by node, then by primitive. */
export function partsInFileOrder({ parts }: Rig): number[] {
  return parts
    .map((_, at) => at)
    .sort((a, b) => {
      const [one, other] = [parts[a], parts[b]];
      return (
        (one?.node ?? 0) - (other?.node ?? 0) || (one?.primitive ?? 0) - (other?.primitive ?? 0)
      );
    });
}
