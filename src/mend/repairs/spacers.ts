import { mat4At } from '../../rig/mat4.js';
import { foundPlaces } from '../found-places.js';
import { foldNodes } from '../frames/fold-nodes.js';
import { isNoChange, similarityOf } from '../reframe/similarity.js';
import type { LeftAlone, Repair } from '../repair.js';

/**
 * Sets spacers to zero, so that a program that drops them loses nothing. The nodes stay: clips,
 * extensions and programs may name them.
 */
export const spacers: Repair = {
  name: 'spacers',
  tells: 'Nodes between joints that no skin lists are set to zero. The nodes stay.',
  rules: ['chain.spacer'],
  mend(context) {
    const { nodes } = context.model;
    const left: LeftAlone[] = [];
    const moved = foundPlaces(context.findings).filter(({ rule, place }) => {
      const local = place.node === null ? null : similarityOf(mat4At(nodes.local, place.node));
      const isEmpty = local !== null && isNoChange(local);
      if (isEmpty) left.push({ rule, place: place.path, why: EMPTY });
      return !isEmpty;
    });
    const mended = foldNodes(context, moved, new Set());
    const changes = mended.changes.map((change) => ({ ...change, after: change.after + STAYS }));
    return { changes, left: [...left, ...mended.left] };
  },
};

const STAYS = '; the node itself stays, and so does the finding';

const EMPTY = 'it is at zero already; the node itself stays, because clips and programs may use it';
