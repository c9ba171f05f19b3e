import { LIMB_FOLLOWS, PARENT_FOLLOWS, PLACE_FOLLOWS } from './following.js';
import type { Steps } from './steps.js';

/** What to do about chains and about the places of joints. */
export const chainSteps: Steps = {
  'chain.direction': [
    'The chain runs from its far end to the body. The finding names its first and last joint.',
    'Take the joint that is at the body (the shoulder of a leg, the root of a tail). It must come first.',
    'Hang that joint on the body, then each next joint on the one before it, outward to the tip. Do not move them. Most programs have a function that reverses a chain, or makes a chosen joint the root.',
    'Aim every frame at the next joint again, now outward ([axis.aim]). As up axis take that of the joint that the limb hangs on, carried along, or the one that a sound limb of the same kind has (the hind leg for the foreleg).',
    'The joint that is now last (the hoof, the tip) has nothing to aim at: it takes the frame of its parent ([axis.end]).',
    'Weights: each joint moves the flesh from itself outward to the next joint. In a chain laid backwards it mostly moves the flesh on the other side. Then the weights move on by one joint: give those of each joint to the next one towards the body, and let the joint at the body keep its own.',
    'What follows: the inverse bind matrices of all joints of the limb; in each clip, the turn and travel keys of all of them, since both frames and parents change ([in-the-file]).',
    'Turn the joint at the body: the whole limb must follow. Play each clip: it must look as before.',
  ],
  'chain.parent': [
    'The finding names the joint that hangs wrong, what it hangs on, and the joint that its flesh grows from.',
    'Hang it on the joint that its flesh grows from, such as a thigh on the hips. Keep it in its place.',
    'Do the same on the other side, and for every other joint that the finding lists.',
    LIMB_FOLLOWS,
    'Move the new parent: the limb must follow it, and the skin between them must not tear.',
  ],
  'chain.stretch': [
    'Open the clip that the finding names, at the time that it names, and select the joint.',
    'Remove the travel keys (translation) of this joint. Keep its turn keys.',
    'Set its place back to that of the bind pose. If the pose then looks wrong, turn the joints above it a little.',
    'Only the root and carriers may travel. Each bone must keep its length to within {stretch}.',
  ],
  'chain.length': [
    'Two joints lie in one place: the finding names both.',
    'If the second one is a leftover: give its weights to the first, hang its children on the first, and remove it.',
    'If it is wanted: move it along the form to where that bends next. The bone between them must be {length} long or longer.',
    'Aim the first joint at the second ([axis.aim]), and bind or paint that part again.',
  ],
  'chain.spacer': [
    'Find the node that the finding names. It lies between two joints, and no skin lists it.',
    'Hang the joint below it on the joint above it. Keep it in its place. Then remove the node.',
    PARENT_FOLLOWS,
    'If the node is needed, make it a joint: add it to the skin, and aim it as the other joints of the chain.',
  ],
  'chain.hinge': [
    'Look at the limb from the side. Thigh, knee and foot (or shoulder, elbow and hand) stand in one straight line.',
    'In the bind pose, move the knee a little forward, or the elbow a little back: to the side to which it points when the limb bends. {bend} or more; 5° is a good start. Move the mesh with it.',
    'Aim the frames above and at the hinge again ([axis.aim]), and bind.',
    'Do the same on the other side, mirrored.',
  ],
  'place.inside': [
    'Find the joint that the finding names. It stands outside the mesh.',
    'Move the joint alone into the middle of the form, where that bends. Do not move the mesh or other joints.',
    'Aim the frame before it at its new place, and its own frame at the next joint ([axis.aim]).',
    'Keep the weights.',
    PLACE_FOLLOWS,
  ],
  'place.middle': [
    'Look along the bone at the cross-section of the limb. The joint stands nearer to the skin than to the middle.',
    'Move the joint alone to the middle of that cross-section. Less than {middle} of the mean radius away is within the limit; aim for 0 %.',
    'If the form bends at its skin (a knuckle, the back of a heel), it may stay. Say so in a waiver.',
    'Aim the frames before it and at it again ([axis.aim]).',
    PLACE_FOLLOWS,
  ],
  'place.midline': [
    'The joint belongs to the middle of the body, but stands beside it. The finding says how far, and to which side.',
    'Set its X to that of the midline (0 for a centred model). Keep its Y and Z.',
    'Aim the frames before it and at it again ([axis.aim]).',
    PLACE_FOLLOWS,
    'If it should be one of a left and right pair, make the partner, and name both sides.',
  ],
  'place.pair': [
    'The finding names a left and a right joint, and by how much one is off the mirrored place of the other.',
    'Decide which of the two stands right: in the middle of the flesh, in line with its neighbours. Where one of them has a finding of its bend ([motion.collapse]), the other one is right.',
    'Give the other the mirrored place in the world: same Y and Z, and X with the other sign. Do it for each pair that the finding lists, from the body outward. Do not move the mesh, and keep the weights.',
    'Mirror the frames too ([axis.mirror]). Less than {distance} may be left.',
    PLACE_FOLLOWS,
  ],
  'motion.collapse': [
    'Bend the joint that the finding names by 60°, and look at the side that folds.',
    'If the weights change in one step there, smooth them: over a third of the bone on each side of the joint, the weight goes from one joint to the other.',
    'If weights of the lower joint run high up into the upper bone, give them back to the upper joint.',
    'If the joint stands near the skin, move it to the middle of the form first ([place.middle]).',
    'Bend it again: it must keep more than it lost. Less than {volume} of the volume may go.',
  ],
};
