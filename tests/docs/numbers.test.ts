import { expect, it } from 'vitest';
import { ASSET_LIMITS } from '../../src/asset/limits.js';
import { WEIGHTS } from '../../src/grade/rubric.js';
import { BEND_DEGREES } from '../../src/measure/bend/bend-lab.js';
import { CURL_DEGREES } from '../../src/measure/skeleton/curl-pose.js';
import { LARGEST_SHIFT, LARGEST_TURN } from '../../src/mend/proof/proof-limits.js';
import { MOST_TRIANGLES } from '../../src/page/simplify.js';
import { LISTED } from '../../src/waivers/subjects.js';
import { readPage } from '../support/docs/read-page.js';

const figure = (value: number): string => value.toLocaleString('en-GB');
const millions = Math.floor(ASSET_LIMITS.reportLetters / 1e6);

/** What a page says of a number, made from the number itself. */
const sayings: readonly (readonly [page: string, saying: string])[] = [
  ['mending', `more than ${LARGEST_SHIFT * 100} % of the rig's size`],
  ['mending', `turns by more than ${LARGEST_TURN}°`],
  ['checking', `bends every joint by ${BEND_DEGREES}° each way`],
  ['checking', `longer than ${millions} million characters`],
  ['sheets', `the chain curled by ${CURL_DEGREES}°`],
  ['pages', `over ${figure(MOST_TRIANGLES)} triangles`],
  ['waivers', `more than ${figure(LISTED)} places`],
  [
    'grading',
    `A rule that can give errors weighs ${WEIGHTS.error}, a warning rule ${WEIGHTS.warning}, a note rule ${WEIGHTS.note}.`,
  ],
];

it.each(sayings)('docs/%s.md says "%s", as the code has it', (page, saying) => {
  expect(readPage(`docs/${page}.md`)).toContain(saying);
});
