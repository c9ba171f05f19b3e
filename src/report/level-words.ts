import type { Level } from '../kit/finding.js';
import { levelsOfRule, type Rule } from '../kit/rule.js';
import type { SetRules } from './limit-words.js';

/** `error`, or `error or warning` where it depends on the measure. */
export function levelWords(rule: Rule): string {
  return levelsOfRule(rule)
    .join(', ')
    .replace(/, (?=[^,]*$)/, ' or ');
}

/**
 * The level that a standard gives to all findings of a rule, `none` where it switches the rule off; null
 * where the rule keeps its own.
 */
export function setLevel(rule: Rule, set: SetRules | null): Level | 'none' | null {
  const level = set?.levels.get(rule.id) ?? null;
  return level === levelWords(rule) ? null : level;
}

/** ` by the standard house.json (default error or warning)`; nothing for the level of the rule itself. */
export function levelByWords(rule: Rule, set: SetRules | null): string {
  return set === null || setLevel(rule, set) === null
    ? ''
    : ` by the standard ${set.standard} (default ${levelWords(rule)})`;
}
