import type { ReportingDescriptor } from 'sarif';
import type { Rule } from '../kit/rule.js';
import { DESCRIPTION_LENGTH, markdownText, plainText, sentence } from './sarif-text.js';

/** What SARIF needs to know of a rule. */
export type DescribedRule = Pick<
  Rule,
  'id' | 'level' | 'title' | 'why' | 'formula' | 'remedy' | 'source' | 'family' | 'limits'
>;

/** Services show results only, so an asset that cannot be read needs a result, and that a rule. */
export const UNREADABLE_RULE: DescribedRule = {
  id: 'file.unreadable',
  family: 'file',
  level: 'error',
  title: 'a file that cannot be read',
  why: 'Nothing in the file was checked, so nothing is known about its rig',
  formula: 'the container, its JSON and the buffers it refers to are read as glTF 2.0 specifies',
  remedy: 'Export the file again, and make sure that its buffers are where the file says',
  source: 'glTF 2.0',
  limits: {},
};

/** Tags that consumers take from one rule. */
const TAGS = 10;

/** Describes each rule, in the order given, the one for unreadable assets last. */
export function describeRules(rules: readonly DescribedRule[]): ReportingDescriptor[] {
  const known = rules.some((rule) => rule.id === UNREADABLE_RULE.id);
  return (known ? rules : [...rules, UNREADABLE_RULE]).map(describeRule);
}

function describeRule(rule: DescribedRule): ReportingDescriptor {
  const full = `${sentence(rule.why)} Measured: ${sentence(rule.formula)}`;
  return {
    id: rule.id,
    name: pascalCase(rule.id),
    shortDescription: { text: plainText(sentence(rule.title), DESCRIPTION_LENGTH) },
    fullDescription: { text: plainText(full, DESCRIPTION_LENGTH) },
    help: { text: helpText(rule), markdown: helpMarkdown(rule) },
    defaultConfiguration: { level: rule.level },
    properties: { tags: [...new Set([rule.family, 'rig', 'glTF'])].slice(0, TAGS) },
  };
}

/** `rest.bind-pose` becomes `RestBindPose`, the form the standard's own examples have (3.49.7). */
function pascalCase(id: string): string {
  return id.replace(/(?:^|[.\-_])(\w)/g, (_, letter: string) => letter.toUpperCase());
}

/** The parts of a rule's help, what to do first, since parts that do not fit are left off. */
function helpParts(rule: DescribedRule): (readonly [heading: string, text: string])[] {
  const limits = Object.values(rule.limits).map(
    (limit) => `${limit.tells} (${limit.default} ${limit.unit})`,
  );
  return [
    ['What to do', sentence(rule.remedy)],
    ['Why it matters', sentence(rule.why)],
    ['How it is measured', sentence(rule.formula)],
    ...(limits.length > 0 ? [['Limits', sentence(limits.join('; '))] as const] : []),
    ['Source', sentence(rule.source)],
  ];
}

function helpText(rule: DescribedRule): string {
  return joined(
    helpParts(rule).map(([heading, text]) => `${heading}: ${plainText(text, PART_LENGTH)}`),
  );
}

function helpMarkdown(rule: DescribedRule): string {
  return joined(
    helpParts(rule).map(([heading, text]) => `**${heading}.** ${markdownText(text, PART_LENGTH)}`),
  );
}

/** No part takes more than half of the room. */
const PART_LENGTH = DESCRIPTION_LENGTH / 2 - 32;

/** Whole parts only: a cut through one could leave half an escape. */
function joined(parts: readonly string[]): string {
  let text = '';
  for (const part of parts) {
    const longer = text === '' ? part : `${text}\n\n${part}`;
    if (longer.length <= DESCRIPTION_LENGTH) text = longer;
  }
  return text;
}
