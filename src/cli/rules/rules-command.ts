import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import { knownRules, type OwnFlags } from '../run/own-rules.js';
import { isNamed, refuseUnknownRules } from '../run/rule-names.js';
import { explain, list } from './rules-words.js';

/** `trysquare rules`: the list, a family, or one rule in full. */
export async function runRules(name: string | undefined, flags: OwnFlags, io: Io): Promise<number> {
  const known = await knownRules(flags, io);
  const { rules } = known;
  const columns = Math.min(io.columns ?? 80, 100);
  if (name !== undefined) await refuseUnknownRules(null, [name], known);
  const listed = name === undefined ? rules : rules.filter((rule) => isNamed(rule, [name]));
  const wanted = listed.find(({ id }) => id === name);
  await writeText(io.stdout, wanted ? explain(wanted, columns) : list(listed, columns));
  return EXIT.sound;
}
