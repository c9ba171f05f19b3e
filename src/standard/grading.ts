import type { Settings } from '../check/settings.js';
import type { HouseFile } from '../house/house-file.js';
import type { JsonSchema } from '../house/schema-line.js';
import { LEVELS, type Level } from '../kit/finding.js';
import { familyOf } from '../kit/mending-order.js';
import type { Rule } from '../kit/rule.js';
import { DEFAULT_GRADES, GRADES_SCHEMA, type GradeStep, gradesFrom } from './grade-steps.js';
import { readShare, type Share } from './share.js';

/** How a standard writes what faults cost. Shares are numbers from 0 to 1, or text such as `1/3` or `25 %`. */
export interface WrittenGrading {
  readonly bands?: readonly { readonly from: number; readonly costs: number | string }[];
  readonly warnings?: number | string;
  readonly notes?: number | string;
  readonly error?: number | string;
  readonly unsound?: number | string;
  readonly most?: Readonly<Record<string, number | string>>;
  readonly counts?: Readonly<Record<string, Level>>;
  readonly countsFrom?: Readonly<Record<string, number>>;
  readonly also?: Readonly<Record<string, string>>;
  readonly grades?: readonly GradeStep[];
}

/** What faults cost when a class is graded. */
export interface Grading {
  /** From how many joints at fault on a family loses which share of its points; the smallest number first. */
  readonly bands: readonly Band[];
  /** How much of a band a joint counts that has a warning and no error, and one that has notes alone. */
  readonly warnings: Share;
  readonly notes: Share;
  /** What a family with an error loses of its points at once, where its band costs less. */
  readonly error: Share;
  /** The most that an unsound rig can get of all points. */
  readonly unsound: Share;
  /** By rule, the most that a rig with an error or a warning of it can get of all points. */
  readonly most: Readonly<Record<string, Share>>;
  /** By rule, the level that its findings count as, where that is not the level of the report. */
  readonly counts: Readonly<Record<string, Level>>;
  /** By rule, the least measure, in its unit, of findings that `counts` is about; all where there is none. */
  readonly countsFrom: Readonly<Record<string, number>>;
  /** By rule, the family besides its own in which its errors count. */
  readonly also: Readonly<Record<string, string>>;
  /** The grades that points are given as, the best first; none where the class gets points alone. */
  readonly grades: readonly GradeStep[];
}

export interface Band {
  readonly from: number;
  readonly costs: Share;
}

/**
 * What faults cost where a standard does not say. The bands are those of a published rubric of a
 * rigging course ("Rigging rubric", rcampus.com, code WXW7A92): none at fault, one to four, five
 * and more. What they cost is common practice, as the rest is: a family is learned, half learned or
 * missed. A teacher who puts a class in order asks how many families were missed, and much less at
 * which level: a habit that shows at five joints weighs as much as an error. A rig that cannot be
 * used as it is does not get full marks, and a chain that is laid from its tip is laid anew, with
 * all that hangs on it. Limbs that hang on no joint are at fault as the root and as the chains:
 * nothing carries them; nor does a chain work whose skin hangs on the wrong joints. Some findings
 * cost what it takes to mend them: where a bend collapses, its skin is painted again, or the joint
 * is placed and bound again, while weights are normalised in a minute. Good rigs of foxes and
 * horses lose 37 to 39 % of the volume in their worst bend (limit 35 %), which costs nothing.
 */
export const DEFAULT_GRADING: Required<WrittenGrading> = {
  bands: [
    { from: 1, costs: '1/2' },
    { from: 5, costs: 1 },
  ],
  warnings: 1,
  notes: 0,
  error: 1,
  unsound: '90 %',
  most: { 'chain.direction': '50 %' },
  counts: {
    'motion.collapse': 'error',
    'chain.direction': 'error',
    'skin.sum': 'warning',
    'skin.repeat': 'warning',
  },
  countsFrom: { 'motion.collapse': 45 },
  also: { 'root.single': 'chain', 'skin.shift': 'chain' },
  grades: DEFAULT_GRADES,
};

/** More bands than that, and joints in one, are a slip. */
const MOST_BANDS = 20;
const MOST_JOINTS = 1_000_000;

/** Takes a family of the defaults away. */
const NO_FAMILY = 'none';

const SHARE = 'A number from 0 to 1, or text such as "1/3" or "25 %".';

/** The part of a standard that says what faults cost. */
export function gradingSchema(rules: readonly Rule[]): JsonSchema {
  const { warnings, notes, error, unsound, most, counts, countsFrom, also } = DEFAULT_GRADING;
  const families = [...new Set(rules.map((rule) => rule.family)), NO_FAMILY];
  return {
    type: 'object',
    description:
      'What faults cost when a class is graded. What is left out keeps its default, rule by rule in most, counts, countsFrom and also; bands and grades are replaced as a whole.',
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
        `What an error costs at once of the points of its family, where the band costs less. ${SHARE} Default ${error}.`,
        error,
      ),
      unsound: share(
        `The most that an unsound rig can get of all points. ${SHARE} Default ${unsound}.`,
        unsound,
      ),
      most: {
        type: 'object',
        description: `The most that a rig with an error or a warning of a rule can get of all points. ${SHARE} 1 for no such limit. Default ${fromRules(most, (share) => ` at ${share}`)}.`,
        additionalProperties: false,
        properties: byRule(rules, (description) => share(description)),
      },
      counts: {
        type: 'object',
        description: `The level that the findings of a rule count as for points, where it is not that of the report. Verdicts do not change. Default ${fromRules(counts, (level) => ` as ${level}`)}, unless "levels" gives that rule or its family a level.`,
        additionalProperties: false,
        properties: byRule(rules, (description) => ({ enum: LEVELS, description })),
      },
      countsFrom: {
        type: 'object',
        description: `From what measure on, in the unit of the rule, the findings of a rule count as "counts" says; those that measure less keep their level. 0 for all of them. Default ${fromRules(countsFrom, (from) => ` from ${from} on`)}.`,
        additionalProperties: false,
        properties: byRule(rules, (description) => ({ type: 'number', minimum: 0, description })),
      },
      also: {
        type: 'object',
        description: `A second family in which the errors of a rule count, besides its own; "${NO_FAMILY}" for no such family. Default ${fromRules(also, (family) => ` in ${family}`)}.`,
        additionalProperties: false,
        properties: byRule(rules, (description) => ({ enum: families, description })),
      },
      grades: GRADES_SCHEMA,
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

/** `chain.direction as error, skin.sum as warning`. */
function fromRules<Of>(values: Readonly<Record<string, Of>>, words: (value: Of) => string): string {
  return Object.entries(values)
    .map(([rule, value]) => `${rule}${words(value)}`)
    .join(', ');
}

/** A property for each rule, described by its title. */
function byRule(
  rules: readonly Rule[],
  property: (description: string) => JsonSchema,
): Record<string, JsonSchema> {
  return Object.fromEntries(
    rules.map(({ id, title }) => [
      id,
      property(`${title.charAt(0).toUpperCase()}${title.slice(1)}.`),
    ]),
  );
}

/**
 * What faults cost by a standard, defaults filled in. Throws UsageError by `failAt` for what makes no sense.
 *
 * @param levels Those that the standard gives to rules: such a rule counts as what it is, unless `counts`
 * of the standard says otherwise.
 */
export function gradingFrom(
  written: WrittenGrading,
  failAt: HouseFile['failAt'],
  levels: Settings['levels'] = new Map(),
): Grading {
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
    at(['bands'], 'is empty; write at least one band, such as { "from": 1, "costs": "1/2" }');
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
  const limits = { ...DEFAULT_GRADING.most, ...written.most };
  const most = Object.fromEntries(
    Object.entries(limits).map(([rule, share]) => [rule, read(share, ['most', rule])]),
  );
  const usual = Object.entries(DEFAULT_GRADING.counts).filter(([rule]) => !levels.has(rule));
  const counts = { ...Object.fromEntries(usual), ...written.counts };
  const countsFrom = { ...DEFAULT_GRADING.countsFrom, ...written.countsFrom };
  for (const rule of Object.keys(written.countsFrom ?? {}))
    if (counts[rule] === undefined)
      at(
        ['countsFrom', rule],
        `has no level in "counts" to count as from there on; write one there, too`,
      );
  const also = Object.fromEntries(
    Object.entries({ ...DEFAULT_GRADING.also, ...written.also }).filter(
      ([rule, family]) => family !== NO_FAMILY && family !== familyOf(rule),
    ),
  );
  const grades = gradesFrom(all.grades, at);
  return { bands, warnings, notes, error, unsound, most, counts, countsFrom, also, grades };
}
