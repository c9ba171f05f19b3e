import { LEVELS } from '../kit/finding.js';
import {
  constant,
  count,
  either,
  indexOrNull,
  list,
  number,
  oneOf,
  orNull,
  point,
  record,
  type Schema,
  text,
  textOrNull,
} from './schema-parts.js';

const KINDS = ['joint', 'node', 'mesh', 'skin', 'rig', 'asset'];
export const PLACE = 'x, y, z in the bind pose, world space, in the unit of the report.';

/** What every piece of evidence has. */
const piece = (kind: string): Record<string, Schema> => ({
  kind: constant(kind, `Says that this is ${kind === 'arrow' ? 'an' : 'a'} ${kind}.`),
  label: text(`What the ${kind} is.`),
});

const evidence = either(
  [
    record('A point.', { ...piece('point'), at: point(`Where it is: ${PLACE}`) }),
    record('An arrow.', {
      ...piece('arrow'),
      from: point('Where it begins: x, y, z in the bind pose, world space, in the unit.'),
      along: point('From its beginning to its head: x, y, z in world space, in the unit.'),
    }),
    record('A line through points.', {
      ...piece('line'),
      points: list(point(PLACE), 'The points in order.'),
    }),
  ],
  'Geometry that shows the fault.',
);

const placeProperties = {
  kind: oneOf(KINDS, 'What it is.'),
  name: text('Its name.'),
  path: text('Its names from the top down, the same across exports: never an index.'),
  joint: indexOrNull('Index in the joints of the rig; null for what is no joint.'),
  node: indexOrNull('Index of the node in the file; null where there is none.'),
  pointer: text('JSON pointer (RFC 6901) into the JSON of the file; empty for all of it.'),
};

const place = record('One thing that a finding is about.', placeProperties);

const faultPlace = record(
  'One thing at fault.',
  {
    ...placeProperties,
    measured: number('How bad it is there, in `unit`; absent where all are measured as one.'),
  },
  ['measured'],
);

const checkedCounts = record(
  'How many things were checked and how many are at fault: for the finding, or else for its rule.',
  { looked: count('Things checked.'), short: count('Things among them that are at fault.') },
);

export const finding = record(
  'One fault.',
  {
    identity: text(
      "The same after every export of the same rig, and no other finding's of the asset.",
    ),
    rule: text('Id of the rule that found it.'),
    level: oneOf(LEVELS, 'How serious it is.'),
    rig: indexOrNull('Index of the rig; null for a finding about the asset.'),
    anchor: record('What identifies it: its place, or the rig or limb that it is about.', {
      kind: oneOf(KINDS, 'What it is.'),
      path: text('Its names from the top down.'),
    }),
    aspect: textOrNull('Which of its faults the rule reports; null where it reports one only.'),
    place,
    places: list(
      faultPlace,
      'Everything that is at fault, `place` included. There are several where one finding reports them together. The list has a thousand at most; `counts` gives the true number.',
    ),
    message: text('What was measured and the limit, in words.'),
    remedy: text('What to do, in words.'),
    measured: number('What was measured, in `unit`.'),
    limit: number('The limit, in `unit`; null where there is none.'),
    unit: text('Unit of `measured` and `limit`.'),
    also: list(
      record('One measure.', {
        measured: number('What was measured, in `unit`.'),
        unit: text('Its unit.'),
      }),
      'Other measures of it that are past a limit, each in another unit; absent if there are none.',
    ),
    counts: orNull(checkedCounts),
    vertices: list(count('Index of a vertex in its mesh.'), 'Vertices to look at.'),
    consequences: list(text('One consequence, as a sentence.'), 'What the fault leads to.'),
    insteadOf: list(
      text('Id of a rule.'),
      'Rules that found a fault there, too, and gave way to this one; absent if there are none.',
    ),
    evidence: list(evidence, 'Geometry to draw.'),
    waived: record('The waiver of the finding; absent when nobody waived it.', {
      by: text('Who waived it.'),
      why: text('Why.'),
      until: textOrNull('Last day on which it applies, as YYYY-MM-DD; null when it has no end.'),
    }),
    beyond: list(
      text('One reason, as a sentence.'),
      'Why it counts although there is a waiver for it, such as a measure above what was accepted; absent if there is none.',
    ),
  },
  ['also', 'insteadOf', 'waived', 'beyond'],
);
