import { wrapAnsi } from 'fast-wrap-ansi';
import { families, rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { LEVELS, type Level } from '../../kit/finding.js';
import { LEVEL_MEANINGS, SILENCE_MEANS } from '../../kit/level-meanings.js';
import { levelsOfRule, type Rule, type Yield } from '../../kit/rule.js';
import { visible } from '../../report/visible.js';
import { didYouMean } from '../../standard/nearest.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';

/** `trysquare rules`: the list, a family, or one rule in full. */
export async function runRules(id: string | undefined, io: Io): Promise<number> {
  const columns = Math.min(io.columns ?? 80, 100);
  const one = rules.find((rule) => rule.id === id);
  if (one !== undefined) await writeText(io.stdout, explain(one, columns));
  else {
    const listed = id === undefined ? rules : rules.filter((rule) => rule.family === id);
    if (listed.length === 0) {
      const known = [...rules.map((rule) => rule.id), ...families];
      throw new UsageError(
        `there is no rule or family "${visible(id ?? '')}".${didYouMean(id ?? '', known)} "trysquare rules" lists them all.`,
      );
    }
    await writeText(io.stdout, list(listed, columns));
  }
  return EXIT.sound;
}

function list(listed: readonly Rule[], columns: number): string {
  const width = Math.max(...listed.map((rule) => rule.id.length)) + 2;
  const levelWidth = 'error or warning'.length + 2;
  return listed
    .map((rule) => {
      const head = `${rule.id.padEnd(width)}${levels(rule).padEnd(levelWidth)}`;
      const lines = wrapAnsi(rule.title, Math.max(20, columns - head.length)).split('\n');
      return lines.map((line, at) => (at === 0 ? head : ' '.repeat(head.length)) + line).join('\n');
    })
    .join('\n')
    .concat(`\n\n${sections([['What the levels mean', meanings(LEVELS)]], columns)}\n`);
}

/** A line a level; the last says what is not told. */
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

function explain(rule: Rule, columns: number): string {
  const limits = Object.entries(rule.limits).map(
    ([name, spec]) => `${name}: ${spec.default} ${spec.unit} (${spec.tells})`,
  );
  const own = levelsOfRule(rule);
  const parts: Section[] = [
    ['Finds', [`${rule.title} (${levels(rule)})`]],
    ['Level', meanings(own)],
    ['Why', [rule.why]],
    ['Measured', [rule.formula]],
    ['Limit', limits.length === 0 ? ['none that can be set'] : limits],
    ['Remedy', [rule.remedy]],
    ['Source', [rule.source]],
    ['Gives way', rule.yieldsTo.map(({ to, on }) => `to ${to.join(', ')} ${PLACES[on]}`)],
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
