import { UsageError } from '../../asset/errors.js';
import { didYouMean } from '../../house/nearest.js';
import type { Rule } from '../../kit/rule.js';
import { REPAIRS } from '../../mend/repairs.js';
import { visible } from '../../report/visible.js';
import type { KnownRules } from '../run/own-rules.js';
import { isNamed, refuseUnknownRules } from '../run/rule-names.js';
import type { MendFlags } from './mend-flags.js';

/** The rules whose findings can be mended, by id. */
export const MENDABLE = [...new Set(REPAIRS.flatMap((repair) => repair.rules))];

/** Which findings to mend, by rules. */
export interface Chosen {
  /** The only ones; null for all. */
  readonly only: readonly string[] | null;
  readonly skip: readonly string[];
  /** Those that are mended although that is only done when asked. */
  readonly also: readonly string[];
}

/** What --only, --skip and --also choose. Throws UsageError. */
export async function chosenRules(
  { only, skip = [], also = [] }: MendFlags,
  known: KnownRules,
): Promise<Chosen> {
  const { rules } = known;
  // Skipping what cannot be mended anyway is no mistake.
  await refuseUnknownRules('--skip', skip, known);
  const skipped = rules.filter((rule) => isNamed(rule, skip)).map(({ id }) => id);
  const wanted = only === undefined ? null : mendable(only, rules);
  const added = mendable(also, rules);
  const contrary = added.find((id) => skipped.includes(id));
  if (contrary !== undefined)
    throw new UsageError(`--also and --skip both name ${contrary}; leave it out of one of them`);
  const chosen = [...(wanted ?? MENDABLE), ...added];
  if (chosen.every((id) => skipped.includes(id)))
    throw new UsageError('--only and --skip together leave nothing to mend');
  return { only: wanted, skip: skipped, also: added };
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
        : `there is no rule or family "${visible(name)}".${didYouMean(name, MENDABLE)} "trysquare rules" lists them all.`,
    );
  });
}
