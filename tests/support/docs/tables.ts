import { rules } from '../../../rules/index.js';
import { EXIT_MEANINGS } from '../../../src/cli/exit-codes.js';
import { FORMATS } from '../../../src/cli/output/formats/index.js';
import { LEVELS } from '../../../src/kit/finding.js';
import { LEVEL_MEANINGS, SILENCE_MEANS } from '../../../src/kit/level-meanings.js';
import { REPAIRS } from '../../../src/mend/repairs.js';
import { unitAfter } from '../../../src/report/finding-words.js';
import { levelWords } from '../../../src/report/level-words.js';
import { commandPage } from './command-page.js';
import { gradedTable } from './graded-rigs.js';
import { libraryPage } from './library-page.js';
import { table } from './markdown.js';

/** The tables that are made from code, by the name that a page asks for them with. */
export const tables: Readonly<Record<string, () => string | Promise<string>>> = {
  rules: () =>
    table(
      ['rule', 'level', 'finds', 'limits', 'source'],
      rules.map((rule) => [
        `\`${rule.id}\``,
        levelWords(rule),
        rule.title,
        Object.values(rule.limits)
          .map((spec) => `${spec.default} ${unitAfter(spec.default, spec.unit)}`)
          .join('; ') || 'none',
        rule.source,
      ]),
    ),
  levels: () =>
    `${table(
      ['level', 'what it means'],
      LEVELS.map((level) => [level, LEVEL_MEANINGS[level]]),
    )}\n\n${SILENCE_MEANS}`,
  repairs: () =>
    table(
      ['what is found', 'what a mend does'],
      REPAIRS.map(({ rules: ids, tells, isBold = false }) => [
        ids.map((id) => `\`${id}\``).join(', '),
        isBold ? `When asked: ${tells}` : tells,
      ]),
    ),
  formats: () =>
    table(
      ['format', 'ending', 'what it is for'],
      FORMATS.map(({ name, endings, tells }) => [
        `\`${name}\``,
        endings.map((ending) => `\`.${ending}\``).join(', '),
        tells,
      ]),
    ),
  exits: () => table(['code', 'meaning'], Object.entries(EXIT_MEANINGS)),
  grades: gradedTable,
  commands: commandPage,
  library: libraryPage,
};
