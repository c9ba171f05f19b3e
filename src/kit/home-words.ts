import type { Home } from '../measure/skin/flesh-parent.js';
import type { Words } from './words.js';

/** How many joints a remedy names with their new parents; the others go likewise. */
export const HOMES = 5;

/** `"foot_L" on "shin_L", "foot_R" on "shin_R", and so on`: of `count` joints the first few. */
export function homeWords(homes: readonly Home[], count: number, words: Words): string {
  const named = homes.slice(0, HOMES);
  const each = named.map(({ joint, parent }) => `${words.joint(joint)} on ${words.joint(parent)}`);
  return `${each.join(', ')}${count > each.length ? ', and so on' : ''}`;
}
