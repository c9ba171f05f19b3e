import type { JsonSchema } from '../house/schema-line.js';
import { ALL_AXES, axisName } from '../measure/facts.js';
import { LENGTH_UNITS } from '../measure/length-units.js';

/** Patterns in one list: more than any body has joints that a program asks for. */
const MOST_PATTERNS = 500;
/** Joints or clips that a house may allow. */
const MOST_COUNT = 1_000_000;
/** Keys a second that any clip has. */
const MOST_RATE = 10_000;
/** Longest side of anything that is built; more can only be a slip. */
const MOST_LENGTH = 1e9;

/** The part of a standard that says what has to be in a rig. */
export function contractSchema(): JsonSchema {
  return part('What must be in a rig, and what must not. What is left out is not checked.', {
    joints: part(`Joints by name. ${PATTERN}`, {
      required: patterns('Every rig must have a joint for each of these.'),
      forbidden: patterns('No joint of a rig may have such a name.'),
      most: count('Largest number of joints in a rig, over all its skins.'),
      roots: count('Largest number of topmost joints in a rig: the limit of root.single.', 1),
      influences: count(
        'Largest number of joints that move one vertex: the limit of skin.budget, which then gives warnings.',
        1,
      ),
    }),
    clips: part(`Clips by name, of files that have a rig. ${PATTERN}`, {
      required: patterns('Every file must have a clip for each of these.'),
      names: patterns('The name of every clip must fit one of these.'),
      most: count('Largest number of clips in a file.'),
      rate: {
        type: 'number',
        exclusiveMinimum: 0,
        maximum: MOST_RATE,
        description: 'Frames a second. Every key of a clip must lie on a frame.',
      },
    }),
    height: {
      ...part(
        'How high a rig may be in its bind pose. Needs the unit of the assets: conventions.',
        {
          from: length('Smallest height.'),
          to: length('Largest height.'),
          unit: { enum: LENGTH_UNITS, default: 'm', description: 'Unit of both. Default m.' },
        },
      ),
      required: ['from', 'to'],
    },
    vertical: axis('The direction in the world that is up for every rig. glTF 2.0 has +Y.'),
    facing: axis('The direction in the world that every rig looks to. glTF 2.0 has +Z.'),
  });
}

const PATTERN =
  'A name stands for itself. In patterns, * is any text, ? any letter, [lr] one of these letters, {a,b} one of these words.';

function part(description: string, properties: Readonly<Record<string, JsonSchema>>): JsonSchema {
  return { type: 'object', description, additionalProperties: false, properties };
}

function patterns(description: string): JsonSchema {
  const items = { type: 'string', minLength: 1 };
  return { type: 'array', description, maxItems: MOST_PATTERNS, items };
}

function count(description: string, minimum = 0): JsonSchema {
  return { type: 'integer', minimum, maximum: MOST_COUNT, description };
}

function length(description: string): JsonSchema {
  return { type: 'number', exclusiveMinimum: 0, maximum: MOST_LENGTH, description };
}

function axis(description: string): JsonSchema {
  return { enum: ALL_AXES.map(axisName), description };
}
