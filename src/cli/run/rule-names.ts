import { UsageError } from '../../asset/errors.js';
import type { Rule } from '../../kit/rule.js';
import type { Report } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { KnownRules } from './own-rules.js';

/** Whether a list names a rule, by its id or by its family. */
export function isNamed({ id, family }: Rule, names: readonly string[]): boolean {
  return names.includes(id) || names.includes(family);
}

/**
 * Throws UsageError for a name that is neither a rule nor a family.
 *
 * @param option The option that the names were given with, as `--only`; null for an argument.
 * @param known Every rule there is, the house's own among them.
 */
export async function refuseUnknownRules(
  option: string | null,
  names: readonly string[],
  { rules, families, own }: KnownRules,
): Promise<void> {
  const spellings = [...rules.map(({ id }) => id), ...families];
  const unknown = names.find((name) => !spellings.includes(name));
  if (unknown === undefined) return;
  const { didYouMean } = await import('../../house/nearest.js');
  throw new UsageError(
    `${option === null ? '' : `${option}: `}there is no rule or family "${visible(unknown)}".${didYouMean(unknown, spellings)} "trysquare rules" lists them all.${ownHint(unknown, own)}`,
  );
}

/** What to do where the name may be of a rule of the house's own. */
function ownHint(name: string, own: KnownRules['own']): string {
  return own === undefined && name.includes('.')
    ? ' A rule of your own is known with --with FILE alone.'
    : '';
}

/** The first rule of a report's findings that is none of those known; null where all are. */
export function unknownRule({ assets }: Report, rules: readonly Rule[]): string | null {
  const ids = new Set(rules.map(({ id }) => id));
  const findings = assets.flatMap((asset) => asset.findings);
  return findings.find(({ rule }) => !ids.has(rule))?.rule ?? null;
}
