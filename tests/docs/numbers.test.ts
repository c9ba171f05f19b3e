import { expect, it } from 'vitest';
import { fitLength } from '../../rules/fit/length.js';
import { ASSET_LIMITS } from '../../src/asset/limits.js';
import { BEND_DEGREES } from '../../src/measure/bend/bend-lab.js';
import { SAME_PLACE } from '../../src/measure/fit/counterparts.js';
import { LEFT_OUT } from '../../src/measure/fit/likeness.js';
import { CURL_DEGREES } from '../../src/measure/skeleton/curl-pose.js';
import { LARGEST_SHIFT, LARGEST_TURN } from '../../src/mend/proof/proof-limits.js';
import { MOST_TRIANGLES } from '../../src/page/simplify.js';
import { DEFAULT_GRADES } from '../../src/standard/grade-steps.js';
import { DEFAULT_GRADING } from '../../src/standard/grading.js';
import { DEFAULT_POINTS, POINTS_WITH_MODEL } from '../../src/standard/standard-schema.js';
import { LISTED } from '../../src/waivers/subjects.js';
import { readPage } from '../support/docs/read-page.js';

const figure = (value: number): string => value.toLocaleString('en-GB');
const millions = Math.floor(ASSET_LIMITS.reportLetters / 1e6);

const { bands, error, unsound, most, counts } = DEFAULT_GRADING;
const part = (share: number | string | undefined): string => (share === 1 ? 'all' : String(share));
const few = (bands[1]?.from ?? 0) - 1;

const worth = (family: string): number => DEFAULT_POINTS[family] ?? 0;

const withModel = (family: string): number => POINTS_WITH_MODEL[family] ?? 0;
const place = fitLength.limits.place?.default;

/** What a page says of a number, made from the number itself. */
const sayings: readonly (readonly [page: string, saying: string])[] = [
  ['mending', `more than ${LARGEST_SHIFT * 100} % of the rig's size`],
  ['mending', `turns by more than ${LARGEST_TURN}°`],
  ['checking', `bends every joint by ${BEND_DEGREES}° each way`],
  ['checking', `longer than ${millions} million characters`],
  ['sheets', `the chain curled by ${CURL_DEGREES}°`],
  ['pages', `over ${figure(MOST_TRIANGLES)} triangles`],
  ['waivers', `more than ${figure(LISTED)} places`],
  ['grading', `at 1 to ${few} joints, a family loses ${part(bands[0]?.costs)} of its points`],
  ['grading', `At ${few + 1} or more it loses ${part(bands[1]?.costs)} of them`],
  ['grading', `One error costs ${part(error)} of the points of its family at once`],
  ['grading', `An unsound rig gets ${unsound} of all points at most`],
  ['grading', `(\`chain.direction\`) ${most['chain.direction']}: that chain has to be laid anew`],
  [
    'grading',
    `it is ${DEFAULT_GRADES.map(
      ({ name, from }, at) => `${name} from ${from}${at === 0 ? ' points' : ''}`,
    )
      .join(', ')
      .replace(/, (?=[^,]*$)/, ' and ')}: A is for`,
  ],
  ...Object.entries(counts).map(
    ([rule, level]) => ['grading', `\`${rule}\` as ${level}s (`] as const,
  ),
  ['grading', `(\`root\` ${worth('root')}, \`chain\` ${worth('chain')})`],
  ['grading', `(\`rest\` ${worth('rest')}, \`scale\` ${worth('scale')})`],
  ['grading', `axes ${worth('axis')}, placement ${worth('place')}, skinning ${worth('skin')}`],
  ['grading', `bending ${worth('motion')} and names ${worth('name')}.`],
  ['grading', `\`fit\` has ${withModel('fit')} of 100 points when there is a model`],
  [
    'grading',
    `\`root\` has ${withModel('root')}, the chain ${withModel('chain')} and placement ${withModel('place')}.`,
  ],
  ['grading', `has nothing within ${SAME_PLACE} % of size`],
  ['grading', `Over ${place} % is a warning, over ${SAME_PLACE} % an error`],
  ['grading', `farther away than ${LEFT_OUT} of its shorter bone`],
];

it.each(sayings)('docs/%s.md says "%s", as the code has it', (page, saying) => {
  expect(readPage(`docs/${page}.md`)).toContain(saying);
});
