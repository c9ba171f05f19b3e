/** One step of the course. */
export interface CourseStep {
  readonly title: string;
  readonly words: readonly string[];
}

/** How to lay a chain that curls in its plane; a picture of the build belongs to each step. */
export const COURSE: readonly CourseStep[] = [
  {
    title: 'Lay the joints from the body outward',
    words: [
      'Put the first joint where the chain leaves the body. Here that is the saddle, in the middle of the caterpillar. Hang each next joint on the one before it, out to the head.',
      'A joint moves all that comes after it. So the first joint must be the one at the body.',
    ],
  },
  {
    title: 'Put each joint in the middle of the form, where it bends',
    words: [
      'Look from the side and from the top. There must be as much body above the joint as below it, and as much to the left as to the right.',
      'Along the chain, a joint belongs where the form folds. Give a knee or an elbow a small bend, 5° or so, to show which way it goes.',
    ],
  },
  {
    title: 'Aim one axis at the next joint',
    words: [
      'Choose a letter for the whole rig, here Y. At every joint the Y axis runs along the bone, straight at the next joint.',
      'Turn the frame of the joint to get there. Do not move the joint.',
    ],
  },
  {
    title: 'Give all of them the same up axis',
    words: [
      'Choose a second letter, here Z. Turn each frame about its aim axis until Z looks to the same side of the chain at every joint. Here it is up.',
      'The third letter, here X, then is the axis that the chain bends about. Less than 5° of roll may be left at a joint.',
    ],
  },
  {
    title: 'Finish the end joint, and set the rest to zero',
    words: [
      'The last joint has nothing to aim at. Give it the frame of the joint before it: 0, 0, 0 against its parent.',
      'Every node above the root gets move 0, 0, 0, turn 0° and scale 1. Every joint has scale 1. Then bind the mesh, and paint it.',
    ],
  },
  {
    title: 'Try the curl',
    words: [
      'Pick all joints of the chain together, and turn them about X, 18° each. The chain must curl like a watch spring and stay in its plane.',
      'If a part of it leaves the plane (dashed: one joint is rolled by 70°), one frame is off. Go back to steps 3 and 4 at the joint where the chain leaves its way.',
    ],
  },
];

/** How a finding is worked off, whatever it is. */
export const WORKING: readonly string[] = [
  'Begin with the first finding of the feedback or the report. Others often come from it and go with it.',
  'Look up its rule here, by the name in the finding, such as axis.up. The finding gives the joint, the number that was measured and the limit.',
  'Keep a copy of the scene. Go to the bind pose: joints, frames and weights are mended there, never in a pose.',
  'Do the steps in their order, on every joint that the finding lists. Change nothing else.',
  'Export, and check again: trysquare check rig.glb. The finding must be gone, and no new one may have come.',
];

/** Words that the entries use, as this handbook means them. */
export const TERMS: readonly (readonly [term: string, meaning: string])[] = [
  [
    'Frame',
    'The three axes X, Y and Z of a joint. To turn a frame means to turn these axes alone: the joint, its children and the mesh stay where they are. In the file, the bind matrix of the joint and the stored turns of the joint and its children change with it.',
  ],
  ['Aim axis', 'The axis of a joint that runs along the bone, to the next joint. Such as +Y.'],
  ['Up axis', 'A second axis, which looks to the same side at all joints of a chain. Such as +Z.'],
  ['Roll', 'How far a frame is turned about its own aim axis, against its chain.'],
  ['Segment', 'A run of joints, one after the other, without a branch: an arm, a tail, a neck.'],
  [
    'Side axis',
    'The third axis of a joint, square to aim and up: aim × up. Such as +X. A hinge bends about it.',
  ],
  ['Holder', 'A node above the topmost joint, such as a group or the stage.'],
  ['Carrier', 'A joint that moves no skin and carries all others, such as one on the ground.'],
  ['Body root', 'The topmost joint that moves skin: all of the body hangs on it.'],
  ['Spacer', 'A node between two joints that is no joint itself.'],
  [
    'Error, warning, note',
    'How serious a finding is. For an error a rig is sent back; a warning costs somebody time sooner or later; a note is good to know.',
  ],
  ['Sound', 'A rig without an error, or without what the standard asks to be mended.'],
  ['Bind pose', 'The pose in which the mesh was tied to its joints.'],
  ['Size', 'The diagonal of the box around the mesh. Lengths are given in percent of it.'],
];

/** How the parts of a file hang together, as formulas: what follows from a change, and how. */
export const FORMULAS: readonly (readonly [term: string, formula: string, meaning: string])[] = [
  [
    'Place and turn',
    'local = inverse(world of the parent) × world',
    'A node stores its local transform. If you change the world transform of a joint, compute this again for the joint and for each of its children, joints or not: then these stay where they are.',
  ],
  [
    'Inverse bind matrix',
    'inverse bind matrix = inverse(world of the joint in the bind pose)',
    'One for each joint of a skin. A frame that is turned by D gets: inverse(D) × inverse bind matrix.',
  ],
  [
    'A turned frame',
    'new world = world × D',
    'D is the turn about the own axes of the joint, such as 180° about its +Y. P is the D of its parent; where the parent is not turned, leave P out.',
  ],
  [
    'Turn keys',
    'new key = inverse(P) × key × D',
    'So for the turned joint: key × D. For its children: inverse(P) × key.',
  ],
  [
    'Travel keys',
    'new key = inverse(P) × key',
    'Of its children: their travel is stored along the axes of their parent. Scale keys stay, where the three numbers are equal.',
  ],
  [
    'A moved joint',
    'new key = key + move',
    'For its own travel keys, with the move along the axes of its parent. The travel of its children gets the move back, along the axes of the joint, so that they stay. It now turns about another point: look at the clips again.',
  ],
  [
    'A joint taken out',
    'later numbers in the list of joints: one less',
    'It goes out of the list of joints of each skin, with its inverse bind matrix, and its keys go out of the clips. The joint numbers of vertices count in that list.',
  ],
  [
    'Another parent',
    'new key = inverse(world of the new parent) × world of the old parent × key',
    'At the time of each key. Where one of the two parents moves in the clip, set keys at its times too. A holder that is set to zero: new key = transform of the holder × key.',
  ],
  [
    'Tangents',
    'as their keys',
    'Curves (CUBICSPLINE) store two tangents with each key. They are multiplied as the key is; a move is not added to them.',
  ],
  [
    'Never changed',
    'vertices of a skin',
    'As long as joints, bind matrices and keys follow, the vertices stay as they are. They go along only where the whole character is moved or turned in the world. Channels of clips lead to nodes by number, not by name: a new name changes no clip of the same file.',
  ],
];
