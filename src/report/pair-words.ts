import { counted } from './finding-words.js';
import type { AssetReport, PairReport, RigReport } from './report-types.js';

/**
 * Which approved rig a rig was compared with, and why with that one, as a sentence. None where either
 * asset has but one rig, which needs no word, or nothing was compared.
 *
 * @param shown Shows a name.
 */
export function pairWords({ approved }: RigReport, shown: (name: string) => string): string[] {
  if (approved === undefined || approved?.by === 'only') return [];
  if (approved === null) return ['Compared with no rig: no approved rig is left that is like it.'];
  return [`Compared with the approved rig "${shown(approved.name)}": ${whyOf(approved)}.`];
}

function whyOf({ by, shared }: PairReport): string {
  const names = `${counted(shared, 'joint')} ${shared === 1 ? 'has' : 'have'} the same ${shared === 1 ? 'name' : 'names'}`;
  const asMany = `${names}. Other rigs share as many`;
  switch (by) {
    case 'only':
      return 'both files have only one rig';
    case 'joints':
      return names;
    case 'name':
      return `${asMany}, but these two have the same rig name`;
    case 'larger':
      return `${asMany}, but these two have the most joints`;
    case 'order':
      return `${asMany}, but these two come first`;
    case 'count':
      return 'no joint has a name, and both have as many joints';
  }
}

/** `: 2 clips, 34 channels`: how much of a file was asked whose clips alone are compared; else empty. */
export function askedWords({ asked }: AssetReport): string {
  return asked === undefined
    ? ''
    : `: ${counted(asked.clips, 'clip')}, ${counted(asked.channels, 'channel')}`;
}

/** ` 14 clips were played.`: by how many clips a rig was compared; empty where by none. */
export function playedWords({ rigs }: AssetReport): string {
  const played = Math.max(0, ...rigs.map(({ approved }) => approved?.played ?? 0));
  return played === 0 ? '' : ` ${counted(played, 'clip')} ${played === 1 ? 'was' : 'were'} played.`;
}
