import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { didYouMean } from '../../house/nearest.js';
import { REPAIRS } from '../../mend/repairs.js';
import { visible } from '../../report/visible.js';
import { isNamed, refuseUnknownRules } from '../run/rule-names.js';
import type { MendFlags } from './mend-flags.js';

/** The rules whose findings can be mended. */
const ABLE = [...new Set(REPAIRS.flatMap((repair) => repair.rules))];

/** The rules that --only and --skip choose, by id; null for all. Throws UsageError. */
export async function chosenRules({ only, skip }: MendFlags): Promise<readonly string[] | null> {
  const wanted = only === undefined ? null : mendable(only);
  if (skip === undefined) return wanted;
  // Skipping what cannot be mended anyway asks for nothing wrong.
  await refuseUnknownRules('--skip', skip);
  const skipped = new Set(rules.filter((rule) => isNamed(rule, skip)).map(({ id }) => id));
  const chosen = (wanted ?? ABLE).filter((id) => !skipped.has(id));
  if (chosen.length === 0) throw new UsageError('--only and --skip together leave nothing to mend');
  return chosen;
}

/** Rules by id; for a family, all of its rules that can be mended. Throws UsageError. */
export function mendable(named: readonly string[]): readonly string[] {
  return named.flatMap((id) => {
    if (ABLE.includes(id)) return [id];
    const ofFamily = ABLE.filter((rule) => rule.startsWith(`${id}.`));
    if (ofFamily.length > 0) return ofFamily;
    const known = rules.some((rule) => rule.id === id || rule.family === id);
    throw new UsageError(
      known
        ? `trysquare cannot mend what ${id} finds; it mends what these rules find: ${ABLE.join(', ')}`
        : `there is no rule or family "${visible(id)}".${didYouMean(id, ABLE)}`,
    );
  });
}
