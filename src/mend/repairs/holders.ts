import { foundPlaces } from '../found-places.js';
import { foldNodes } from '../frames/fold-nodes.js';
import type { Repair } from '../repair.js';

/**
 * Sets holders to zero. What hangs on them takes their transform: joints, props, cameras, lights, plain
 * meshes and the clips that move them keep their places.
 */
export const holders: Repair = {
  name: 'holders',
  tells:
    'Holders are set to zero. What hangs on them, and the clips that move them, take over their transform.',
  rules: ['rest.holder'],
  mend(context) {
    // Of all rigs: a whole cast can hang on one holder.
    const all = new Set(context.model.rigs.flatMap((rig) => rig.holderWays.flat()));
    return foldNodes(context, foundPlaces(context.findings), all);
  },
};
