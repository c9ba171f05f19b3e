/** What else changes with a frame, a parent or a holder; a step of several rules. */

/** Where the formulas stand: the id of their part of the page. */
export const IN_THE_FILE = 'in-the-file';

/** Of a frame that is turned. */
export const FRAME_FOLLOWS =
  'What follows: the inverse bind matrix of the joint; in each clip, its turn keys, and the turn and travel keys of its children ([in-the-file]). Most programs do this for you. Play each clip: it must look as before.';

/** Of a joint that gets another parent. */
export const PARENT_FOLLOWS =
  'What follows: in each clip, the turn and travel keys of the joint that now hangs elsewhere ([in-the-file]). Its children stay as they are, and so do the inverse bind matrices. Play each clip: it must look as before.';

/** Of a limb that gets the parent that it should have had. */
export const LIMB_FOLLOWS =
  'What follows: the turn and travel of the joint, as stored and in each clip, are now seen from its new parent ([in-the-file]). Its children stay as they are, and so do the inverse bind matrices. In a clip that moves the new parent the limb now goes along, as it should. Let it: keys that hold the limb where it was would stretch it.';

/** Of a holder that is set to zero. */
export const HOLDER_FOLLOWS =
  'What follows: in each clip, the travel and turn keys of the root joint, which take up what the holder had ([in-the-file]). Where all stays in its place in the world, inverse bind matrices and vertices stay too. Play each clip: it must look as before.';

/** Of a whole character that is moved or turned in the world. */
export const WORLD_FOLLOWS =
  'What follows: all inverse bind matrices, the vertices, and in each clip the travel and turn keys of the root joint ([in-the-file]). Play each clip.';

/** Of a joint that is moved alone. */
export const PLACE_FOLLOWS =
  'What follows: the inverse bind matrix of the joint; in each clip, its own travel keys and those of its children ([in-the-file]). Play each clip.';
