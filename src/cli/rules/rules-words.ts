import { wrapAnsi } from 'fast-wrap-ansi';
import { LEVELS, type Level } from '../../kit/finding.js';
import { LEVEL_MEANINGS, SILENCE_MEANS } from '../../kit/level-meanings.js';
import { levelsOfRule, type Rule, type Yield } from '../../kit/rule.js';
import { unitAfter } from '../../report/finding-words.js';
import { byWords, type SetLimits, shownLimits } from '../../report/limit-words.js';
import { visible } from '../../report/visible.js';

/** A line a rule, and what the levels mean. */
export function list(listed: readonly Rule[], columns: number): string {
  const width = Math.max(...listed.map((rule) => rule.id.length)) + 2;
  const levelWidth = Math.max(...listed.map((rule) => levels(rule).length)) + 2;
  const lines = listed.flatMap((rule) => {
    const head = `${rule.id.padEnd(width)}${levels(rule).padEnd(levelWidth)}`;
    const [first, ...rest] = wrapAnsi(rule.title, Math.max(20, columns - head.length)).split('\n');
    return [`${head}${first}`, ...rest.map((line) => ' '.repeat(head.length) + line)];
  });
  const end = sections([['What the levels mean', meanings(LEVELS)]], columns);
  return `${lines.join('\n')}\n\n${end}\n`;
}

/** A line a level; after all of them, what no finding means. */
function meanings(levels: readonly Level[]): string[] {
  const lines = levels.map((level) => `${level}: ${LEVEL_MEANINGS[level]}`);
  return levels.length === LEVELS.length ? [...lines, SILENCE_MEANS] : lines;
}

/** `error`, or `error or warning` where it depends on the measure. */
export function levels(rule: Rule): string {
  return levelsOfRule(rule)
    .join(', ')
    .replace(/, (?=[^,]*$)/, ' or ');
}

const PLACES: Readonly<Record<Yield['on'], string>> = {
  rig: 'in the same rig',
  joints: 'on one of its joints',
  each: 'on each of its joints',
  above: 'at a joint at or above one of its own',
};

/** One rule in full, with the limits of a standard; null for no standard. */
export function explain(rule: Rule, set: SetLimits | null, columns: number): string {
  const limits = shownLimits(rule, set).map(
    (limit) =>
      `${limit.name}: ${limit.value} ${unitAfter(limit.value, limit.spec.unit)}${visible(byWords(limit))} (${limit.spec.tells})`,
  );
  const parts: Section[] = [
    ['Finds', [`${rule.title} (${levels(rule)})`]],
    ['Level', meanings(levelsOfRule(rule))],
    ['Why', [rule.why]],
    ['Measured', [rule.formula]],
    ['Limit', limits.length === 0 ? ['none that can be set'] : limits],
    ['Remedy', [rule.remedy]],
    ['Source', [rule.source]],
    [
      'Gives way',
      rule.yieldsTo.map(({ to, on }) => {
        const where = rule.scope === 'asset' ? 'in the same asset' : PLACES[on];
        return `to ${to.join(', ')} ${where}`;
      }),
    ],
  ];
  return `${rule.id}\n${sections(parts, columns)}\n`;
}

type Section = readonly [heading: string, paragraphs: readonly string[]];

/** Headings with their paragraphs below, those without any left out. */
function sections(parts: readonly Section[], columns: number): string {
  const lines = parts.flatMap(([head, paragraphs]) => {
    if (paragraphs.length === 0) return [];
    const text = paragraphs.flatMap((paragraph) => wrapAnsi(paragraph, columns - 2).split('\n'));
    return [head, ...text.map((line) => `  ${line}`)];
  });
  return lines.join('\n');
}
