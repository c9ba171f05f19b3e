import type { StrayChannels } from '../../src/measure/fit/clip-strays.js';

/** How many names a message lists, and how many letters of each. */
const LISTED = 3;
const LONGEST_NAME = 120;

/** `"wade", "rest" and 4 more`. These names are no joints of the rig: its own words know none of them. */
export function quotedNames(names: readonly string[]): string {
  const shown = names.slice(0, LISTED).map(quoted).join(', ');
  const more = names.length - LISTED;
  return more > 0 ? `${shown} and ${more} more` : shown;
}

function quoted(name: string): string {
  return `"${name.length > LONGEST_NAME ? `${name.slice(0, LONGEST_NAME)}...` : name}"`;
}

/** The one cause that all share, as a sentence with a blank before it; empty where none is seen. */
export function causeWords({ prefix, roots, names }: StrayChannels): string {
  if (prefix !== null) {
    const has = prefix.of === 'clips' ? 'The clips have' : 'The rig has';
    const [all, they] = names.length === 1 ? ['this name', 'it'] : ['all these names', 'they'];
    return ` ${has} ${quoted(prefix.text)} before ${all}; without it ${they} would be found.`;
  }
  if (roots === null) return '';
  return ` The paths in the clips begin with ${quoted(roots.clips)}, those of the rig with ${quoted(roots.rig)}: the clips may be made for another skeleton.`;
}
