import type { Steps } from './steps.js';

/** What to do about names. */
export const nameSteps: Steps = {
  'name.missing': [
    'Find the joint by its place in the tree: the finding gives the path to it.',
    'Name it after its part of the body and its number in the chain, such as neck_mid or tail_2, spelled as the others are.',
    'Rename before clips are made: clips find joints by name.',
  ],
  'name.duplicate': [
    'The finding gives the paths of the joints with one name.',
    'Keep the name on one. Give each other one a name of its own, by its place: a number along the chain, or its side.',
    'If clips exist, see which joint they pose, and leave that one its name.',
  ],
  'name.default': [
    'The name is one that a program gives, such as joint12.',
    'See what flesh the joint moves, and name it after that part, spelled as the others are: tail_mid, hand_L.',
    'Rename before clips are made: clips find joints by name.',
  ],
  'name.side': [
    'If the finding says that sides are swapped: exchange the side in the names of both limbs. Left is the left of the character, not yours. The finding says which limbs it went by, and on which side of X these have their left joints.',
    'Change names only: no place, frame or weight. Clips of the same file go on as before, since their channels lead to nodes and not to names. Clips in other files find joints by name.',
    'If it says that sides are written in two ways: choose the way that most joints have, such as _L and _R, and spell the others so.',
    'If it says that a joint has no partner: take the side out of its name if it is in the middle; else make or name the partner.',
  ],
};
