import { HOLDER_FOLLOWS, LIMB_FOLLOWS, WORLD_FOLLOWS } from './following.js';
import type { Steps } from './steps.js';

/** What to do about roots, holders and the stored pose. */
export const restSteps: Steps = {
  'root.single': [
    'Find the joints that the finding lists as topmost besides the root.',
    'If they move skin: hang each on the joint whose flesh it grows from (a thigh on the hips). Keep its place: parent it so that it does not move.',
    'If they move no skin (hooks, controls, helpers): leave them out of the export and out of the skin.',
    LIMB_FOLLOWS,
    'If all joints are topmost: make one root joint in the middle of the body, and hang the chains on it.',
    'One topmost joint must be left. Turn it: all of the body must follow.',
  ],
  'root.centre': [
    'Find the middle of the body: the hips of a biped, the middle of the trunk of an animal.',
    'Move the root joint there before you bind the mesh. Keep the other joints where they are.',
    'Or put a new joint there, make it the root, and hang the chains on it. A carrier on the ground may stay above it.',
    'The root must be less than {distance} away from the centre of mass.',
  ],
  'rest.holder': [
    'A holder is a node above the root joint. The finding names each one, with its own move and turn.',
    'Write down its move and turn. Give them to what hangs on it: the root joint gets them on top of its own, so that it stays where it is in the world. A mesh without a skin that hangs there gets them too. A mesh with a skin needs nothing: its joints place it.',
    'Set the holder to zero: move 0, 0, 0, turn 0°, scale 1. In many programs you do both at once when you apply the transform of the holder before binding.',
    'If a conversion of the export made it (a quarter turn, or a scale of 100), export again with the units and the vertical of the house. A scale is taken off as in [scale.unit].',
    HOLDER_FOLLOWS,
    'Less than {turn} and {move} may be left. The character must stand where it stood.',
  ],
  'rest.mesh': [
    'Select the node of the mesh that the finding names, not a joint.',
    'Set its move to 0, 0, 0, its turn to 0° and its scale to 1. If the mesh then stands beside its joints in your program, apply the transform to the mesh before you bind it.',
    'Export, and look at the rig in a viewer: the skin must lie on its joints as before.',
  ],
  'rest.bind': [
    'Look at the joint that the finding names as posed. Set its turn back to that of the bind pose. Where the finding says by how much and about which axis it is turned, turn it back: as much about the same axis, the other way.',
    'If its place or its scale was changed by accident, set that back too.',
    'Most programs have a command that goes back to the bind pose, the pose in which the mesh was bound. In the file, the inverse of an inverse bind matrix is the place of the joint in the world (its own values are that, seen from its parent; [in-the-file]).',
    'Change nothing else: clips, weights and inverse bind matrices stay. Only the stored turn, move and scale of the posed joints go back. A clip that does not key these joints now shows them as they were bound.',
    'Only if the pose is wanted as the new rest pose: bind the mesh again in that pose.',
    'Export while the rig stands in the bind pose. No vertex may be moved by {shift} or more.',
  ],
  'rest.centred': [
    'Note how far and to which side of X = 0 the model stands: the finding says it in metres.',
    'Select the top of everything: joints and mesh together.',
    'Move all of it back along X by that distance, before you bind. Then set the moved node to zero, so that no holder is left ([rest.holder]).',
    WORLD_FOLLOWS,
    'The middle must be less than {distance} away from X = 0.',
  ],
};
