import { wrapAnsi } from 'fast-wrap-ansi';
import { LEVELS, type Level } from '../../kit/finding.js';
import { LEVEL_MEANINGS, SILENCE_MEANS } from '../../kit/level-meanings.js';
import { levelsOfRule, type Rule, type Yield } from '../../kit/rule.js';
import { unitAfter } from '../../report/finding-words.js';
import { levelByWords, levelWords, setLevel } from '../../report/level-words.js';
import { byWords, type SetRules, shownLimits } from '../../report/limit-words.js';
import { visible } from '../../report/visible.js';

/** A line a rule, with the levels of a standard (null for no standard), and what levels mean. */
export function list(listed: readonly Rule[], set: SetRules | null, columns: number): string {
  const width = Math.max(...listed.map((rule) => rule.id.length)) + 2;
  const levelWidth = Math.max(...listed.map((rule) => levelsIn(rule, set).length)) + 2;
  const lines = listed.flatMap((rule) => {
    const head = `${rule.id.padEnd(width)}${levelsIn(rule, set).padEnd(levelWidth)}`;
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

/** The levels of a rule, or the one that a standard sets. */
function levelsIn(rule: Rule, set: SetRules | null): string {
  const level = setLevel(rule, set) ?? levelWords(rule);
  return level === 'none' ? 'switched off' : level;
}

/** What the levels of a rule mean; of a standard's level, first who set it. */
function levelLines(rule: Rule, set: SetRules | null): string[] {
  const level = setLevel(rule, set);
  if (level === null) return meanings(levelsOfRule(rule));
  const by = visible(levelByWords(rule, set));
  if (level === 'none') return [`switched off${by}: it is not judged`];
  return [`${level}${by}`, ...meanings([level])];
}

const PLACES: Readonly<Record<Yield['on'], string>> = {
  rig: 'in the same rig',
  joints: 'on one of its joints',
  each: 'on each of its joints',
  above: 'at a joint at or above one of its own',
};

/** One rule in full, as a standard has it; null for no standard. */
export function explain(rule: Rule, set: SetRules | null, columns: number): string {
  const limits = shownLimits(rule, set).map(
    (limit) =>
      `${limit.name}: ${limit.value} ${unitAfter(limit.value, limit.spec.unit)}${visible(byWords(limit))} (${limit.spec.tells})`,
  );
  const parts: Section[] = [
    ['Finds', [`${rule.title} (${levelsIn(rule, set)})`]],
    ['Level', levelLines(rule, set)],
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
