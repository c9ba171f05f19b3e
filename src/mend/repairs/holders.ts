import { posedHolders } from '../../measure/pose/holder-sum.js';
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
    // Of all rigs: a whole cast can hang on one holder. What a clip poses only takes over what is above it.
    const { rigs } = context.model;
    const posed = new Set(rigs.flatMap((rig) => [...posedHolders(rig)]));
    const all = rigs.flatMap((rig) => rig.holderWays.flat()).filter((node) => !posed.has(node));
    return foldNodes(context, foundPlaces(context.findings), new Set(all));
  },
};
