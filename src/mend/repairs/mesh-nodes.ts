import { foundPlaces } from '../found-places.js';
import { foldNodes } from '../frames/fold-nodes.js';
import { isPlacedBySkin } from '../json/node-content.js';
import type { LeftAlone, Repair } from '../repair.js';

/** Clears the transforms of skinned mesh nodes, which viewers ignore (glTF 2.0, 3.7.3.3). */
export const meshNodes: Repair = {
  name: 'mesh nodes',
  tells: 'The node of a skinned mesh is set to zero.',
  rules: ['rest.mesh'],
  mend(context) {
    const { rigs } = context.model;
    const joints = new Set(rigs.flatMap((rig) => [...rig.joints.node]));
    const left: LeftAlone[] = [];
    const clear = foundPlaces(context.findings).filter(({ rule, place: { node, path } }) => {
      const isJoint = joints.has(node ?? -1);
      const isClear = !isJoint && isPlacedBySkin(context.edit.json, node ?? -1);
      if (!isClear) left.push({ rule, place: path, why: isJoint ? WHY_JOINT : WHY_UNWEIGHTED });
      return isClear;
    });
    const family = rigs.flatMap(({ meshNodes, holders }) => [...meshNodes, ...holders]);
    const mended = foldNodes(context, clear, new Set(family.filter((node) => !joints.has(node))));
    return { changes: mended.changes, left: [...left, ...mended.left] };
  },
};

const WHY_JOINT = 'it is also a joint, so its transform poses the rig';

const WHY_UNWEIGHTED = 'a part of its mesh has no weights, so viewers may place it by the node';
