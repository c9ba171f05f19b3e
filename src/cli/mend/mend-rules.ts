import { UsageError } from '../../asset/errors.js';
import { didYouMean } from '../../house/nearest.js';
import type { Rule } from '../../kit/rule.js';
import { REPAIRS } from '../../mend/repairs.js';
import { visible } from '../../report/visible.js';
import type { KnownRules } from '../run/own-rules.js';
import { isNamed, refuseUnknownRules } from '../run/rule-names.js';
import type { MendFlags } from './mend-flags.js';

/** The rules whose findings can be mended, by id. */
const MENDABLE = [...new Set(REPAIRS.flatMap((repair) => repair.rules))];

/** The rules that --only and --skip choose, by id; null for all. Throws UsageError. */
export async function chosenRules(
  { only, skip }: MendFlags,
  known: KnownRules,
): Promise<readonly string[] | null> {
  const { rules } = known;
  const wanted = only === undefined ? null : mendable(only, rules);
  if (skip === undefined) return wanted;
  // Skipping what cannot be mended anyway is no mistake.
  await refuseUnknownRules('--skip', skip, known);
  const skipped = new Set(rules.filter((rule) => isNamed(rule, skip)).map(({ id }) => id));
  const chosen = (wanted ?? MENDABLE).filter((id) => !skipped.has(id));
  if (chosen.length === 0) throw new UsageError('--only and --skip together leave nothing to mend');
  return chosen;
}

/** Rules by id; for a family, all of its rules that can be mended. Throws UsageError. */
export function mendable(names: readonly string[], rules: readonly Rule[]): readonly string[] {
  return names.flatMap((name) => {
    const ids = MENDABLE.filter((id) => id === name || id.startsWith(`${name}.`));
    if (ids.length > 0) return ids;
    const exists = rules.some(({ id, family }) => id === name || family === name);
    throw new UsageError(
      exists
        ? `trysquare cannot mend what ${name} finds; it mends what these rules find: ${MENDABLE.join(', ')}`
        : `there is no rule or family "${visible(name)}".${didYouMean(name, MENDABLE)}`,
    );
  });
}
