import type { HouseFile } from '../house/house-file.js';
import type { JsonSchema } from '../house/schema-line.js';
import { readShare, type Share } from './share.js';

/** How a standard writes what faults cost. Shares are numbers from 0 to 1, or text such as `1/3` or `25 %`. */
export interface WrittenGrading {
  readonly bands?: readonly { readonly from: number; readonly costs: number | string }[];
  readonly warnings?: number | string;
  readonly notes?: number | string;
  readonly error?: number | string;
  readonly unsound?: number | string;
}

/** What faults cost when a class is graded. */
export interface Grading {
  /** From how many joints at fault on a family loses which share of its points; the smallest number first. */
  readonly bands: readonly Band[];
  /** How much of a band a joint counts that has a warning and no error, and one that has notes alone. */
  readonly warnings: Share;
  readonly notes: Share;
  /** What the first error of a family costs of its points, besides its band. */
  readonly error: Share;
  /** What an unsound rig keeps of all its points. */
  readonly unsound: Share;
}

export interface Band {
  readonly from: number;
  readonly costs: Share;
}

/**
 * What faults cost where a standard does not say. The bands are those of a published rubric of a
 * rigging course ("Rigging rubric", rcampus.com, code WXW7A92): full marks for no joint at fault, two
 * thirds for one to four, one third for five and more. That a warning counts half, and what an error
 * costs, is common practice: a rig with an error is sent back, so it cannot have the marks of a sound one.
 */
export const DEFAULT_GRADING: Required<WrittenGrading> = {
  bands: [
    { from: 1, costs: '1/3' },
    { from: 5, costs: '2/3' },
  ],
  warnings: '1/2',
  notes: 0,
  error: '1/6',
  unsound: '70 %',
};

/** More bands than that, and joints in one, are a slip. */
const MOST_BANDS = 20;
const MOST_JOINTS = 1_000_000;

const SHARE = 'A number from 0 to 1, or text such as "1/3" or "25 %".';

/** The part of a standard that says what faults cost. */
export function gradingSchema(): JsonSchema {
  const { warnings, notes, error, unsound } = DEFAULT_GRADING;
  return {
    type: 'object',
    description:
      'What faults cost when a class is graded. What is left out keeps its default; bands are replaced as a whole.',
    additionalProperties: false,
    properties: {
      bands: {
        type: 'array',
        maxItems: MOST_BANDS,
        default: DEFAULT_GRADING.bands,
        description: `What joints at fault cost of the points of their family: from so many on, so much. Default ${bandWords()}.`,
        items: {
          type: 'object',
          additionalProperties: false,
          required: ['from', 'costs'],
          properties: {
            from: {
              type: 'integer',
              minimum: 1,
              maximum: MOST_JOINTS,
              description: 'The smallest number of joints at fault in this band.',
            },
            costs: share(`What they cost of the points of their family. ${SHARE}`),
          },
        },
      },
      warnings: share(
        `How much of its band a joint counts that has a warning and no error. ${SHARE} Default ${warnings}.`,
        warnings,
      ),
      notes: share(
        `How much of its band a joint counts that has notes only. ${SHARE} Default ${notes}.`,
        notes,
      ),
      error: share(
        `What the first error in a family costs of its points, besides the band. ${SHARE} Default ${error}.`,
        error,
      ),
      unsound: share(
        `What an unsound rig keeps of its points, and so the most that it can get. ${SHARE} Default ${unsound}.`,
        unsound,
      ),
    },
  };
}

function share(description: string, value?: number | string): JsonSchema {
  const held = { minimum: 0, maximum: 1, description };
  return { type: ['number', 'string'], ...held, ...(value !== undefined && { default: value }) };
}

function bandWords(): string {
  return DEFAULT_GRADING.bands.map(({ from, costs }) => `${costs} from ${from} on`).join(', ');
}

/** What faults cost by a standard, defaults filled in. Throws UsageError by `failAt` for what makes no sense. */
export function gradingFrom(written: WrittenGrading, failAt: HouseFile['failAt']): Grading {
  const all = { ...DEFAULT_GRADING, ...written };
  const at = (path: readonly (string | number)[], message: string): never =>
    failAt(['grading', ...path], `"grading" > "${path.join('" > "')}" ${message}`);
  const read = (value: number | string, path: readonly (string | number)[]): Share =>
    readShare(value) ??
    at(path, 'is no share of a whole; write a number from 0 to 1, or text such as "1/3" or "25 %"');
  const bands = all.bands.map(
    ({ from, costs }, index): Band => ({ from, costs: read(costs, ['bands', index, 'costs']) }),
  );
  if (bands.length === 0)
    at(['bands'], 'is empty; write at least one band, such as { "from": 1, "costs": "1/3" }');
  bands.forEach(({ from, costs }, index) => {
    const before = bands[index - 1];
    if (before === undefined) return;
    if (from <= before.from)
      at(
        ['bands', index, 'from'],
        `is ${from}, after a band from ${before.from} on; write the bands in order, the smallest number first`,
      );
    if (costs.value < before.costs.value)
      at(
        ['bands', index, 'costs'],
        `is ${costs.text}, less than the ${before.costs.text} of fewer joints at fault; more faults cannot cost less`,
      );
  });
  const warnings = read(all.warnings, ['warnings']);
  const notes = read(all.notes, ['notes']);
  const error = read(all.error, ['error']);
  const unsound = read(all.unsound, ['unsound']);
  if (notes.value > warnings.value)
    at(['notes'], `is ${notes.text}, more than the ${warnings.text} of "warnings"`);
  const worst = bands.at(-1)?.costs;
  if (worst !== undefined && worst.value + error.value > ROUNDED_ONE)
    at(
      ['error'],
      `is ${error.text}, which together with the ${worst.text} of the last band is more than all points; make one of them smaller`,
    );
  return { bands, warnings, notes, error, unsound };
}

/** A third and two thirds add up to more than 1 in binary fractions of some lengths. */
const ROUNDED_ONE = 1 + 1e-9;
