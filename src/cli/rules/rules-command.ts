import { UsageError } from '../../asset/errors.js';
import { visible } from '../../report/visible.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { tell, writeText } from '../output/write-output.js';
import { chooseSettings, type SettingsFlags, setRules } from '../run/choose-settings.js';
import { knownRules, type OwnFlags } from '../run/own-rules.js';
import { isNamed, refuseUnknownRules } from '../run/rule-names.js';
import type { HandbookFlags } from './handbook-file.js';
import { explain, list } from './rules-words.js';

export type RulesFlags = OwnFlags & HandbookFlags & Pick<SettingsFlags, 'standard'>;

/** `trysquare rules`: the list, a family, or one rule in full; or the handbook of them, as a page. */
export async function runRules(
  name: string | undefined,
  flags: RulesFlags,
  io: Io,
): Promise<number> {
  const { out } = flags;
  // A list is of the rules themselves: a standard that nobody names is not read for it.
  const showsStandard =
    out !== undefined || name?.includes('.') === true || typeof flags.standard === 'string';
  const chosen = showsStandard ? await chooseSettings(flags, io) : null;
  const set = chosen && setRules(chosen);
  const known = chosen?.known ?? (await knownRules(flags, io));
  const { rules } = known;
  const columns = Math.min(io.columns ?? 80, 100);
  if (name !== undefined) await refuseUnknownRules(null, [name], known);
  const listed = name === undefined ? rules : rules.filter((rule) => isNamed(rule, [name]));
  if (out !== undefined) {
    const { writeHandbookTo } = await import('./handbook-file.js');
    await writeHandbookTo(out, flags, listed, name === undefined, set, io);
    if (out !== '-') await tell(io, `the handbook is ${visible(out)}`);
    return EXIT.sound;
  }
  const wanted = listed.find(({ id }) => id === name);
  if (flags.replace === true) throw new UsageError('--replace goes with --out FILE');
  await writeText(io.stdout, wanted ? explain(wanted, set, columns) : list(listed, set, columns));
  return EXIT.sound;
}
