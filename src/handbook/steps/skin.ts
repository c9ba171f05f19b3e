import type { Steps } from './steps.js';

/** What to do about weights and bind matrices. */
export const skinSteps: Steps = {
  'skin.sum': [
    'Select the mesh that the finding names. It lists some of the vertices.',
    'Normalise the weights: divide each weight of a vertex by their sum, so that they sum to 1. Most programs have a command for the whole mesh.',
    'Lock no joint while you do it. Then export with all weights of a vertex. If a weight was lost in the export, paint it back first: what is missing then belongs to that joint.',
    'Example: 0.62 + 0.3 = 0.92. After: 0.674 + 0.326 = 1. A float sum must be less than {warn} away from 1.',
  ],
  'skin.unweighted': [
    'Select the vertices that the finding lists. No joint moves them.',
    'Give them to the joint whose bone is nearest, or copy the weights of the vertices around them.',
    'Each vertex must sum to 1. Move the joints: nothing may stay behind.',
  ],
  'skin.index': [
    'Some vertices ask for a joint that the skin does not list: the file is broken, not your paint. The finding gives the number that they ask for. Numbers begin at 0: a skin of 28 joints has the numbers 0 to 27.',
    'Check that every joint with weights is in the skin, and is exported.',
    'Bind the mesh to this skeleton again (copy the weights first), and export anew.',
  ],
  'skin.repeat': [
    'If one joint has two weights on a vertex: add them to one, such as 0.75 + 0.25 = 1, and clear the second.',
    'If a weight is negative: set it to 0, then normalise the rest to 1.',
    'If a weight is not a number: paint that vertex again, with the weights of the vertices around it.',
    'A script or an old file made these. Save and export anew, and check again.',
  ],
  'skin.bind-matrix': [
    'The matrix that ties a joint to the mesh cannot be used. Nobody can paint it right.',
    'Make sure that no joint has a scale of 0, and that every joint of the skin is exported.',
    'Keep the weights, unbind the mesh, bind it again in the bind pose, and put the weights back. Then export.',
    'The last row of each matrix must read 0 0 0 1.',
  ],
  'skin.idle': [
    'Find the joints that the finding lists: they have no weight, and nothing below them has any.',
    'If they were meant to move skin: paint it.',
    'If they carry a prop or a lamp only: leave them out of the skin (a node is enough).',
    'If they are leftovers: remove them.',
  ],
  'skin.remnant': [
    'A joint that only carries or controls still moves a few vertices. The finding lists them.',
    'Select these vertices. Set the weight of this joint to 0 on them.',
    'Normalise what is left to 1. Move the joint alone: no skin may follow by itself.',
  ],
  'skin.shift': [
    'Turn the joints of the chain one by one, from the root outward. The skin that moves must begin at the joint that you turn.',
    'The finding says from which joint to which. Take the skin beside one bone, and leave what lies elsewhere: if the shin moves the flesh of the thigh, give that to the thigh. In the file, add its weight to that of the right joint on each of these vertices, and set the wrong one to 0.',
    'Work along the chain in one direction, so that you never take skin that you have just given: from the root outward where the skin lies too far towards the root, else from the end back.',
    'Blend the weights again at each joint, over about a third of the bone to each side: half and half at the joint itself. Normalise to 1.',
    'If the other side is in order, you can mirror its weights instead.',
    'Turn the joints again. Each bone takes its own flesh along, and the bends are at the joints.',
  ],
  'skin.stray': [
    'The finding names a joint, and vertices far away from it that it moves.',
    'Turn that joint: the vertices fly out of the skin, so you can see and select them.',
    'Set the weight of this joint to 0 on them, and on no others. Normalise what other joints hold there to 1.',
    'Where no other joint holds a vertex, give it to the joint whose bone is nearest.',
  ],
  'skin.side': [
    'A left joint moves skin on the right side, or the other way round. The finding lists the vertices.',
    'Select them. Give their weight on this joint to its partner on the other side.',
    'If you mirrored weights: check that the model stands on X = 0 ([rest.centred]) and that names tell their side ([name.side]), then mirror again.',
  ],
  'skin.budget': [
    'Some vertices are moved by more joints than allowed: {influences}.',
    'On each of them, remove the smallest weights until so many are left, and normalise the rest to 1. Most programs can limit the number for a whole mesh.',
    'If a skin lists too many joints: leave out those that move nothing, or split the mesh.',
    'Bend the part: it must look as before.',
  ],
};
