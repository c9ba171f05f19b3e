import { type FoundPlace, foundPlaces } from '../found-places.js';
import { foldNodes } from '../frames/fold-nodes.js';
import { isPlacedBySkin } from '../json/node-content.js';
import type { LeftAlone, MendContext, Repair } from '../repair.js';

/**
 * Clears the transforms of skinned mesh nodes, which viewers ignore (glTF 2.0, 3.7.3.3), and takes
 * what hangs on them back.
 */
export const meshNodes: Repair = {
  name: 'mesh nodes',
  tells: 'The node of a skinned mesh is set to zero.',
  rules: ['rest.mesh'],
  mend(context) {
    const { rigs } = context.model;
    const left: LeftAlone[] = [];
    const clear = foundPlaces(context.findings).filter((finding) => {
      const why = whyItStays(context, finding);
      if (why !== null) left.push({ rule: finding.rule, place: finding.place.path, why });
      return why === null;
    });
    const joints = new Set(rigs.flatMap((rig) => [...rig.joints.node]));
    const family = rigs.flatMap(({ meshNodes, holders }) => [...meshNodes, ...holders]);
    const mended = foldNodes(context, clear, new Set(family.filter((node) => !joints.has(node))));
    return { changes: mended.changes, left: [...left, ...mended.left] };
  },
};

function whyItStays({ edit, model }: MendContext, { place }: FoundPlace): string | null {
  const node = place.node ?? -1;
  if (model.rigs.some(({ joints }) => (joints.ofNode[node] ?? -1) !== -1))
    return 'it is also a joint, so its transform poses the rig';
  if (!isPlacedBySkin(edit.json, node))
    return 'a part of its mesh has no weights, so viewers may place it by the node';
  return null;
}
