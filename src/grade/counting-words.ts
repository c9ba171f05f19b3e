import { LEVELS, type Level } from '../kit/finding.js';
import { familyOf } from '../kit/mending-order.js';
import type { Rule } from '../kit/rule.js';
import { limitWords } from '../report/limit-words.js';
import { codeName } from '../report/markdown-text.js';
import type { Grading } from '../standard/grading.js';
import { ALL, NOTHING, type Share, without } from '../standard/share.js';
import { mostOf, mostUnsound, type Rubric } from './rubric.js';
import { showWorth } from './tenths.js';

/** How points are counted, for the end of every feedback. */
export function countingWords(rubric: Rubric, files: number, rules: readonly Rule[]): string {
  const { grading, whole } = rubric;
  const { unsound } = grading;
  const [all, most] = [showWorth(whole), showWorth(mostUnsound(rubric))];
  const sentences = [
    `A family loses a share of its points by its joints at fault: ${bandWords(grading)}.`,
    ...weightWords(grading),
    errorWords(grading),
    unsound.value < 1 && `An unsound rig gets ${most} of ${all} at most.`,
    ...mostWords(rubric),
    countsWords(rubric, rules),
    ...alsoWords(rubric),
    'A joint counts once in a family. A mesh, skin, rig or file at fault counts as a joint; a rig of which joints are listed is not one more. What the report tells as the result of another finding costs nothing more. Each line is rounded to one decimal.',
    files > 1 && SEVERAL_FILES,
  ];
  return sentences.filter(Boolean).join(' ');
}

const SEVERAL_FILES =
  'With several files, each family counts in the file where it loses most. What was found in the other files costs nothing more.';

/** `1/3 for 1 to 4, 2/3 for 5 or more`. */
function bandWords({ bands }: Grading): string {
  const each = bands.map(({ from, costs }, at) => {
    const last = (bands[at + 1]?.from ?? Infinity) - 1;
    const range =
      last === Infinity ? `${from} or more` : last === from ? from : `${from} to ${last}`;
    return `${shareWords(costs)} for ${range}`;
  });
  return each.join(', ');
}

/** A share of the points of a family; `all` for the whole. */
function shareWords({ text, value }: Share): string {
  return value === 1 ? 'all' : text;
}

/** What an error costs at once; nothing where every band costs as much. */
function errorWords({ bands, error }: Grading): string {
  const least = bands[0]?.from === 1 ? bands[0].costs.value : 0;
  return error.value > least
    ? `One error in a family costs ${shareWords(error)} of its points at once.`
    : '';
}

/** What rigs with findings of some rules get at most. */
function mostWords(rubric: Rubric): string[] {
  const { grading, whole } = rubric;
  return Object.entries(grading.most)
    .filter(([, { value }]) => value < 1)
    .map(
      ([rule]) =>
        `A rig with a finding of ${codeName(rule)} gets ${showWorth(mostOf(rule, rubric))} of ${showWorth(whole)} at most.`,
    );
}

const WHO: Readonly<Record<Level, string>> = {
  note: 'all joints at fault',
  warning: 'joints with an error or a warning',
  error: 'joints with an error',
};

/** Which joints a share goes by, level by level; nothing where every joint counts in full. */
function weightWords({ notes, warnings }: Grading): string[] {
  const steps: readonly (readonly [Level, Share, Share])[] = [
    ['note', NOTHING, notes],
    ['warning', notes, warnings],
    ['error', warnings, ALL],
  ];
  const [first, ...others] = steps
    .filter(([, from, to]) => to.value > from.value)
    .map(([level, from, to]) => ({ level, part: without(to, from).text }));
  if (first === undefined) return [];
  if (others.length === 0)
    return first.level === 'note' ? [] : [`Only ${WHO[first.level]} count.`, ...noteWords(notes)];
  const rest = others.map(({ level, part }) => `, ${part} by ${WHO[level]}`).join('');
  return [`${first.part} of this goes by ${WHO[first.level]}${rest}.`, ...noteWords(notes)];
}

function noteWords({ value }: Share): string[] {
  return value === 0 ? ['Notes cost nothing.'] : [];
}

/** Which rules count as another level, of those whose family has points; empty for none. */
function countsWords(
  { grading: { counts, countsFrom }, families }: Rubric,
  rules: readonly Rule[],
): string {
  const named = (id: string): string => {
    const from = countsFrom[id] ?? 0;
    const [limit] = Object.values(rules.find((rule) => rule.id === id)?.limits ?? {});
    const least = limit === undefined ? String(from) : limitWords(limit, from);
    return from > 0 ? `${codeName(id)} (if they measure ${least} or more)` : codeName(id);
  };
  const parts = LEVELS.flatMap((level) => {
    const rules = Object.keys(counts).filter(
      (rule) => counts[rule] === level && families.some(({ family }) => family === familyOf(rule)),
    );
    return rules.length === 0 ? [] : [{ names: listWords(rules.map(named)), level }];
  });
  const [first, ...others] = parts;
  if (first === undefined) return '';
  const rest = others.map(({ names, level }) => `, those of ${names} as ${level}s`).join('');
  return `Whatever their level, findings of ${first.names} count as ${first.level}s${rest}.`;
}

/** Which errors count in a second family that has points. */
function alsoWords({ grading: { also }, families }: Rubric): string[] {
  return families.flatMap(({ family }) => {
    const rules = Object.keys(also).filter((rule) => also[rule] === family);
    const names = listWords(rules.map(codeName));
    return rules.length === 0 ? [] : [`Errors of ${names} count in ${codeName(family)}, too.`];
  });
}

function listWords(parts: readonly string[]): string {
  return [parts.slice(0, -1).join(', '), parts.at(-1)].filter(Boolean).join(' and ');
}
