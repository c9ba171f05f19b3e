import {
  count,
  indexOrNull,
  list,
  matrix,
  number,
  oneOf,
  point,
  quaternion,
  record,
  text,
  textOrNull,
} from './schema-parts.js';

const WORLD = 'World matrix, 16 numbers by columns as in glTF 2.0, in the unit of the report';

/** The part of a joint that `--transforms` adds. */
export const jointTransforms = record(
  'Its transforms and its frame; absent when they were not asked for.',
  {
    bind: matrix(`${WORLD}: in the bind pose. Its last column is \`place\`.`),
    rest: matrix(`${WORLD}: in the pose that the file stores.`),
    local: record('As the file stores it, against the parent node, which may be no joint.', {
      translation: point('x, y, z.'),
      rotation: quaternion('Unit quaternion x, y, z, w.'),
      scale: point('x, y, z.'),
    }),
    frame: record('The axes that it is held to. They are measured in the bind pose.', {
      aim: textOrNull('Signed axis along its bone, such as `+X`; null where the rig shows none.'),
      up: textOrNull('Signed second axis; null where the rig shows none.'),
      aimJoint: indexOrNull(
        'Index of the joint that it has to aim at; null where its aim is not measured.',
      ),
      miss: number(
        'Angle in degrees between its aim axis and the direction to that joint (from a hand, to the nearest place between its fingers).',
      ),
    }),
  },
);

const times = {
  first: number('Time of the first key, in seconds.'),
  last: number('Time of the last key, in seconds.'),
};

const channel = record('What a clip changes of one node.', {
  node: count('Index of the node in the file.'),
  joint: indexOrNull(
    'Index in the joints of the rig; null for a node that is above or between the joints.',
  ),
  path: oneOf(['translation', 'rotation', 'scale'], 'What is changed.'),
  interpolation: oneOf(['LINEAR', 'STEP', 'CUBICSPLINE'], 'What happens between keys.'),
  keys: count('Its keys.'),
  ...times,
});

/** The part of a rig that `--transforms` adds. */
export const clipList = list(
  record('One clip.', {
    index: count('Its index in the animations of the file.'),
    name: text('Its name.'),
    keys: count('Different times at which it has keys.'),
    ...times,
    duration: number('From the first key to the last, in seconds.'),
    rate: number('Keys a second; null where they are not evenly spaced, or fewer than three.'),
    channels: list(
      channel,
      'Channels that change a joint of the rig, or a node above or between its joints.',
    ),
  }),
  'The clips that pose it; absent when they were not asked for.',
);
