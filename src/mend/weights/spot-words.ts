import { angleWords, percentage, significant } from '../../kit/figures.js';
import type { Growth } from './edge-growth.js';
import { UNSEEN, UNTURNED } from './unseen-weights.js';

/* Why a spot is left alone, and what is said of one that was filled in. */

export const WHY_BARE =
  'the mesh stores no weights at all; bind it to its joints in the program where it was made, and export again';
export const WHY_NOTHING_NEAR =
  'no vertex of the rig has weights of a joint of the same skin that they could take over; bind the mesh to its joints in the program where it was made';
export const WHY_TWO_STORAGES =
  'the sets of weights are stored as two kinds of numbers; export them as one kind';
export const WHY_MORPHED =
  'the mesh has morph targets, and the change may show in their shapes; if it may, add --allow-change';

/**
 * @param moved How far a vertex was seen to move, share of size; Infinity where it has no place now.
 * @param turned How far its normal was seen to turn. Degrees.
 */
export function whySeen(rule: string, moved: number, turned: number): string {
  const way =
    moved <= UNSEEN
      ? `a normal turns by at least ${angleWords(turned)} (limit ${UNTURNED}°)`
      : Number.isFinite(moved)
        ? `a vertex moves by at least ${significant(100 * moved)} % of the size (limit ${significant(100 * UNSEEN)} %)`
        : 'a vertex that has no place now gets one';
  return `a pose of this file would show it: ${way}; if it may show, add --allow-change ${rule}`;
}

/** @param loose How many vertices follow the nearest skin. */
export function looseWords(loose: number): string {
  if (loose === 0) return '';
  const [who, touches, follows] =
    loose === 1 ? ['1 vertex', 'touches', 'follows'] : [`${loose} vertices`, 'touch', 'follow'];
  return `; ${who} that ${touches} no good skin ${follows} the nearest skin`;
}

/** @param start What comes before the figure. */
export function atWorst(growth: Growth | null, start: string): string {
  if (growth === null) return '';
  if (!Number.isFinite(growth.share)) return '; at worst a vertex has no place';
  return `; ${start} ${percentage(100 * growth.share)} of the size (${growth.pose})`;
}
