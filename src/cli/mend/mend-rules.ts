import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { didYouMean } from '../../house/nearest.js';
import { REPAIRS } from '../../mend/repairs.js';
import { visible } from '../../report/visible.js';

/** Rules by id, or by family all of it that can be mended. */
export function chooseRules(named: readonly string[] | undefined): readonly string[] | null {
  if (named === undefined) return null;
  const able = [...new Set(REPAIRS.flatMap((repair) => repair.rules))];
  return named.flatMap((id) => {
    if (able.includes(id)) return [id];
    const ofFamily = able.filter((rule) => rule.startsWith(`${id}.`));
    if (ofFamily.length > 0) return ofFamily;
    const known = rules.some((rule) => rule.id === id || rule.family === id);
    throw new UsageError(
      known
        ? `what ${id} finds cannot be mended by trysquare; mended are ${able.join(', ')}`
        : `there is no rule or family "${visible(id)}".${didYouMean(id, able)}`,
    );
  });
}
