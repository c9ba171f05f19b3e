import type { ReportingDescriptor } from 'sarif';
import type { Rule } from '../kit/rule.js';
import { joined, unitAfter } from './finding-words.js';
import type { HandbookLink } from './handbook-link.js';
import { DESCRIPTION_LENGTH, markdownText, plainText, sentence } from './sarif-text.js';

/** What SARIF needs to know of a rule. */
export type DescribedRule = Pick<
  Rule,
  'id' | 'level' | 'title' | 'why' | 'formula' | 'remedy' | 'source' | 'family' | 'limits'
>;

/** Services show results only, so an asset that cannot be read needs a result, and that a rule. */
export const UNREADABLE_RULE = {
  id: 'file.unreadable',
  family: 'file',
  level: 'error',
  title: 'a file that cannot be read',
  why: 'Nothing in the file was checked, so nothing is known about its rig',
  formula: 'the container, its JSON and the buffers it refers to are read as glTF 2.0 specifies',
  remedy: 'Export the file again, and make sure that its buffers are where the file says',
  source: 'glTF 2.0',
  limits: {},
} as const satisfies DescribedRule;

/** Describes each rule, in the order given, the one for unreadable assets last. */
export function describeRules(
  rules: readonly DescribedRule[],
  helpUri: HandbookLink | null = null,
): ReportingDescriptor[] {
  const isListed = rules.some((rule) => rule.id === UNREADABLE_RULE.id);
  return (isListed ? rules : [...rules, UNREADABLE_RULE]).map((rule) =>
    describeRule(rule, helpUri?.(rule.id) ?? null),
  );
}

function describeRule(rule: DescribedRule, helpUri: string | null): ReportingDescriptor {
  const { id, level, title, why, formula, family } = rule;
  const described = (text: string) => ({ text: plainText(text, DESCRIPTION_LENGTH) });
  return {
    id,
    name: pascalCase(id),
    shortDescription: described(sentence(title)),
    fullDescription: described(`${sentence(why)} Measured: ${sentence(formula)}`),
    help: {
      text: helpText(rule, (heading, text) => `${heading}: ${plainText(text, PART_LENGTH)}`),
      markdown: helpText(
        rule,
        (heading, text) => `**${heading}.** ${markdownText(text, PART_LENGTH)}`,
      ),
    },
    ...(helpUri !== null && { helpUri }),
    defaultConfiguration: { level },
    properties: { tags: [...new Set([family, 'rig', 'glTF'])] },
  };
}

/** `rest.bind-pose` becomes `RestBindPose`, the form the standard's own examples have (3.49.7). */
function pascalCase(id: string): string {
  return id.replace(/(?:^|[.\-_])(\w)/g, (_, letter: string) => letter.toUpperCase());
}

/** No part takes more than half of the room. */
const PART_LENGTH = DESCRIPTION_LENGTH / 2 - 32;

/**
 * What to do first, since parts that do not fit are left off. Whole parts only: a cut through one
 * could leave half an escape.
 */
function helpText(
  { remedy, why, formula, limits, source }: DescribedRule,
  format: (heading: string, text: string) => string,
): string {
  const limitWords = Object.values(limits).map(
    ({ tells, default: value, unit }) => `${tells} (${value} ${unitAfter(value, unit)})`,
  );
  const parts = {
    'What to do': remedy,
    'Why it matters': why,
    'How it is measured': formula,
    Limits: limitWords.join('; '),
    Source: source,
  };
  let all = '';
  for (const [heading, phrase] of Object.entries(parts)) {
    if (phrase === '') continue;
    const longer = joined([all, format(heading, sentence(phrase))], '\n\n');
    if (longer.length <= DESCRIPTION_LENGTH) all = longer;
  }
  return all;
}
