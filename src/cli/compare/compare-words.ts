import { quotedNames } from '../../../rules/fit/clip-words.js';
import type { IdleClips } from '../../measure/fit/idle-clips.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';

/** A library can hold files for another skeleton by the hundred. */
const MOST_FILES = 10;

/** What is said once of clips of a library that no rig is asked by, a line a file. */
export function idleClipsLines(idle: readonly IdleClips[]): string[] {
  const lines = idle.slice(0, MOST_FILES).map(idleLine);
  const more = idle.length - lines.length;
  return more > 0
    ? [
        ...lines,
        `--clips: ${counted(more, 'more file')} with channels that find no node of the approved rig`,
      ]
    : lines;
}

function idleLine({ source, of, names, channels, stray, strayNames }: IdleClips): string {
  if (names.length === 0 && 2 * stray <= channels)
    return visible(
      `--clips ${source}: ${stray} of ${counted(channels, 'channel')} ${stray === 1 ? 'poses' : 'pose'} what the approved rig does not have (${quotedNames(strayNames)}), so no rig is compared by ${stray === 1 ? 'it' : 'them'}; correct ${strayNames.length === 1 ? 'this name' : 'these names'}`,
    );
  if (names.length === 0)
    return visible(
      `--clips ${source}: ${stray} of ${channels} channels find no node of the approved rig, so no rig is compared by them; check that these clips are for this rig`,
    );
  const one = names.length === 1;
  const which =
    of === 1
      ? `its clip ${quotedNames(names)} finds`
      : `${names.length} of ${of} clips (${quotedNames(names)}) ${one ? 'finds' : 'find'}`;
  const [them, its] = one ? ['it', 'its'] : ['them', 'their'];
  return visible(
    `--clips ${source}: ${which} no node of the approved rig, so no rig is compared by ${them}; give ${its} nodes the names that the approved rig has, or leave ${them} out`,
  );
}
