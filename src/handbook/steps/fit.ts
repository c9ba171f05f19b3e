import { FRAME_FOLLOWS, PARENT_FOLLOWS } from './following.js';
import type { Steps } from './steps.js';

/** What to do where a rig has to fit an approved one. */
export const fitSteps: Steps = {
  'fit.missing': [
    'The finding lists joints of the approved rig that your rig lacks, and joints that stand in their places.',
    'Where a joint stands in the place: give it the name of the approved rig, letter for letter.',
    'Where none does: add the joint at the place and with the parent and the frame of the approved rig, and add it to the skin.',
  ],
  'fit.parent': [
    'The finding names the joint, what it hangs on, and what it hangs on in the approved rig.',
    'Hang it on the joint of the approved rig. Keep it in its place.',
    PARENT_FOLLOWS,
    'Play a clip of the approved rig: the limb must follow the same part of the body.',
  ],
  'fit.frame': [
    'The finding gives the joint, the angle, and the axis about which its frame is turned against the approved rig.',
    'Turn the frame back about that axis by that angle. Best copy the turn of the joint against its parent from the approved rig, number by number.',
    'Do not move its children or the mesh. Less than {warn} may be left.',
    FRAME_FOLLOWS,
    'If the whole rig has other axes: copy the frames of all joints, from the root outward.',
  ],
  'fit.length': [
    'The finding names the bone, its length and the approved length.',
    'Move the joint at its end along the bone until the length agrees, with all that hangs on it, and the mesh there.',
    'If the character is meant to have other proportions, ask whose rig is right before you change anything. Less than {length} may be left.',
  ],
  'fit.unit': [
    'The finding says how many times as large or small your rig is, such as 100 times.',
    'Set the unit of the export to that of the approved rig, and export again.',
    'Or scale joints, mesh and the travel keys of clips together by that number, and leave every node at a scale of 1.',
  ],
  'fit.extra': [
    'The finding names joints that the approved rig does not have.',
    'If they are helpers or leftovers: give their weights to their parent, and leave them out of the export.',
    'If they are needed: ask that the approved rig is extended, so that all rigs get them.',
  ],
  'fit.clip': [
    'The finding names the clip, and the node that it looks for in vain.',
    'If a joint has another name than in the approved rig: give it the approved name, in the rig or in the file of clips.',
    'If the clip was made for another rig: export it again from this one.',
  ],
  'fit.play': [
    'The finding names the clip, the time, and the joint that is shown otherwise than on the approved rig.',
    'Mend first what other fit rules find: [fit.missing], [fit.parent], [fit.frame], [fit.length]. Play the clip again.',
    'If it is still off: put the joint into the bind pose of the approved rig. A joint that no clip poses stays as it is stored.',
    'The bone must be less than {angle} off, and the joint less than {away}.',
  ],
  'fit.weights': [
    'The finding names the mesh, the joints and some of the vertices.',
    'Copy the weights of these vertices from the approved rig, vertex by vertex: the mesh is the same.',
    'If the new weights are better, ask to have them approved. Less than {differ} may differ.',
  ],
};
