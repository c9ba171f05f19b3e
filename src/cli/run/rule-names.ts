import { families, rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import type { Rule } from '../../kit/rule.js';
import { visible } from '../../report/visible.js';

/** Whether a list names a rule, by its id or by its family. */
export function isNamed(
  { id, family }: Pick<Rule, 'id' | 'family'>,
  names: readonly string[],
): boolean {
  return names.includes(id) || names.includes(family);
}

/**
 * Throws UsageError for a name that is neither a rule nor a family.
 *
 * @param option The option that the names were given with, as `--only`.
 */
export async function refuseUnknownRules(option: string, names: readonly string[]): Promise<void> {
  const known = [...rules.map(({ id }) => id), ...families];
  const unknown = names.find((name) => !known.includes(name));
  if (unknown === undefined) return;
  const { didYouMean } = await import('../../house/nearest.js');
  throw new UsageError(
    `${option}: there is no rule or family "${visible(unknown)}".${didYouMean(unknown, known)} "trysquare rules" lists them all.`,
  );
}
