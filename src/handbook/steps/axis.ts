import { FRAME_FOLLOWS } from './following.js';
import type { Steps } from './steps.js';

/** What to do about frames. */
export const axisSteps: Steps = {
  'axis.aim': [
    'Note the joint and the angle of the finding. Look up which axis the other joints aim with: the finding names it, such as +Y.',
    'Find the next joint of the chain. The aim axis must point from this joint straight to that one.',
    'Turn the frame of this joint alone, by the angle of the finding, until its aim axis runs along the bone. The angle must come below {warn}. Do not move the joint, its children or the mesh.',
    'If a move of the child made the miss, and the place of the child is right, the frame is still what you turn.',
    'If the other side is listed too, mirror the turn there: the same angle to the other side of the body.',
    'Then check the up axis: turn the frame about the aim axis until its up axis agrees with the joint before it ([axis.up]).',
    FRAME_FOLLOWS,
  ],
  'axis.uniform': [
    'Note which axis the finding says that the joint uses along its bone, and which one its rig uses.',
    'Turn the frame of the joint by a quarter turn (90°), or by a half turn (180°) where the axis points backwards, until the axis of the rig runs along the bone.',
    'Turn it about the aim axis in quarter turns until its up axis agrees with that of its neighbours in the chain.',
    'Do the same for every joint that the finding lists. Do not move joints, children or mesh.',
    FRAME_FOLLOWS,
    'Turn the whole chain about one letter. All joints must bend the same way.',
  ],
  'axis.up': [
    'Note the joint and the roll of the finding, such as 40° or 180°.',
    'Turn the frame of this joint about its own aim axis (the axis along the bone), and about no other axis, by as many degrees as the finding says. Right-handed means: the thumb of the right hand points along the aim axis, and the frame turns as the fingers curl. 180° is half a turn: the up axis looked out of the wrong side.',
    'Look at its up axis and at that of the joint before it. They must look to the same side of the chain. If the roll got larger, you turned the wrong way: turn back twice as far. Stop when less than {warn} is left.',
    'The place of the joint, its children and the mesh stay where they are. If left and right are both listed, do it on one side and mirror it to the other.',
    FRAME_FOLLOWS,
    'Turn the whole chain about one letter. It must stay in one plane.',
  ],
  'axis.end': [
    'Select the end joint: the last one of the chain, such as a tip, a head or a toe.',
    'If the finding says that it is rolled: turn its frame about its own aim axis until its up axis follows that of its parent; the finding has the angle. It may aim elsewhere than its parent.',
    'If the finding says that its axes lie on other axes: give its frame the turn of its parent. In most programs, set the three numbers that orient the joint against its parent to 0. Do not move it.',
    'If the joint moves skin, its roll against the parent must be below {roll}. An idle tip may be up to {turn} off.',
    FRAME_FOLLOWS,
  ],
  'axis.world-up': [
    'This is asked by the standard of your house. It names one axis as up, such as +Z.',
    'Select the whole level chain: the back, the tail, the body of a caterpillar.',
    'Turn the frame of each joint about its aim axis until its up axis points up in the world. It may lean less than {lean}; aim for 0°.',
    'Turn all of them by the same angle, so that they still agree with each other.',
    FRAME_FOLLOWS,
  ],
  'axis.mirror': [
    'Find out which side is right. Look at the pairs that are not listed: they show the scheme of the rig (for example: on the right side, aim and up point as on the left, and the third axis is turned round).',
    'Copy the frame of the good side to the other side by that scheme. Most programs have a function that mirrors joints: use the same setting for all limbs.',
    'Without one: the right frame is the mirror image of the left one, across the middle of the body, with the same axis or axes reversed at every pair.',
    'Compare again: each pair must be less than {turn} off.',
    FRAME_FOLLOWS,
    'Pose the left limb, copy its values to the right one by the scheme, and look at both.',
  ],
  'axis.curl': [
    'No joint alone is far off; small rolls add up. So work on the whole chain, from the body outward.',
    'Note the up axis of the first joint. Go to the next joint, and turn its frame about its aim axis until its up axis agrees with the one before it to less than 1°. Go on to the end.',
    'Do not move joints, children or mesh.',
    FRAME_FOLLOWS,
    'Turn every joint of the chain about one letter by the same amount. The chain must not leave its plane by {drift} or more of its length.',
  ],
};
