import type { Steps } from './steps.js';

/** What to do about scale. */
export const scaleSteps: Steps = {
  'scale.nonuniform': [
    'Select the node that the finding names, and read its three scale numbers, such as 1, 1.1, 1.',
    'Decide whether the form is meant to be so. If not, set all three to 1. A joint that moves no skin and has nothing below it, such as a tip, needs only that.',
    'If the form is right as it looks, take the size into the mesh and into the places of the joints below: apply the scale before you bind. Then set all three to 1.',
    'What follows: the inverse bind matrices of the joint and of all below it; in each clip, the travel keys of its children ([in-the-file]).',
    'The largest number must be less than {uneven} above the smallest.',
  ],
  'scale.shear': [
    'The finding names two nodes: the one that is skewed, and the cause, which has the unequal scale above it.',
    'Work on the cause. Make its three scale numbers equal, best 1, 1, 1.',
    'If the form needs it, apply the scale to the mesh and to the places of the joints before you turn or bind anything below.',
    'The axes of every joint below must be at right angles again: less than {skew} skew.',
  ],
  'scale.unit': [
    'Select the node that the finding names, and read its scale, such as 1.25 or 0.01.',
    'Before binding: apply the scale. Programs then scale the mesh and the places of all joints below by that number, and set the scale of the node to 1.',
    'In a rig that is bound: multiply the places of all joints below it and their travel keys by that number, and set the scale of the node to 1. Its own place and travel keys stay. Then compute the inverse bind matrices of the joint and of all below it again ([in-the-file]). The mesh has its size already: its vertices stay.',
    'If it is 100 or 0.01, set the unit of the export (metres) instead, and export again.',
    'The character must be as large as before, and each scale less than {scale} away from 1.',
  ],
  'scale.negative': [
    'Select the node that the finding names. One of its scale numbers is negative.',
    'Take its branch away, and make it again as a mirror copy of the good side: mirror the joints and the mesh themselves, with a function of your program that mirrors joints.',
    'All scale numbers must be positive, best 1, 1, 1.',
    'If surfaces now show their inside, turn their faces round, then bind this part again.',
  ],
  'scale.animated': [
    'Open the clip that the finding names, at the time that it names, and select the joint.',
    'Remove the scale keys of this joint from the clip, and set its scale to its stored value (1).',
    'If squash and stretch is wanted, ask whether the engine keeps scale keys. Then key all three numbers alike, on an extra joint with nothing below it.',
    'The scale must stay within {scale} of the stored one.',
  ],
};
