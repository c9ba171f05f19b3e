import { families, rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { didYouMean } from '../../house/nearest.js';
import { visible } from '../../report/visible.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import { explain, list } from './rules-words.js';

/** `trysquare rules`: the list, a family, or one rule in full. */
export async function runRules(id: string | undefined, io: Io): Promise<number> {
  const columns = Math.min(io.columns ?? 80, 100);
  const one = rules.find((rule) => rule.id === id);
  if (one !== undefined) await writeText(io.stdout, explain(one, columns));
  else {
    const listed = id === undefined ? rules : rules.filter((rule) => rule.family === id);
    if (listed.length === 0) {
      const known = [...rules.map((rule) => rule.id), ...families];
      throw new UsageError(
        `there is no rule or family "${visible(id ?? '')}".${didYouMean(id ?? '', known)} "trysquare rules" lists them all.`,
      );
    }
    await writeText(io.stdout, list(listed, columns));
  }
  return EXIT.sound;
}
