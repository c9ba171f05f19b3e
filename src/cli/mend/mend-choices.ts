import { UsageError } from '../../asset/errors.js';
import type { MendOptions } from '../../mend/mend-asset.js';
import type { KnownRules } from '../run/own-rules.js';
import { withLike } from './mend-approved.js';
import type { MendFlags } from './mend-flags.js';
import { chosenRules, MENDABLE, mendable } from './mend-rules.js';

/** What is mended, and how, as plain data: the same for all assets of a run. */
export type MendChoices = Required<
  Pick<
    MendOptions,
    'only' | 'skip' | 'also' | 'allow' | 'resample' | 'pack' | 'restFrom' | 'convention'
  >
>;

/** What the options choose. Throws UsageError. */
export async function mendChoices(flags: MendFlags, known: KnownRules): Promise<MendChoices> {
  const { aim, up } = flags;
  const chosen = withLike(await chosenRules(flags, known), MENDABLE, flags);
  const allow = mendable(flags.allowChange ?? [], known.rules);
  if ((aim === undefined) !== (up === undefined))
    throw new UsageError(
      '--aim and --up go together: name the axis along the bones and the up axis',
    );
  if (aim !== undefined && aim.index === up?.index)
    throw new UsageError('--aim and --up name the same axis; name two axes at right angles');
  return {
    ...chosen,
    allow,
    resample: flags.resample === true,
    pack: flags.pack === true,
    restFrom: flags.restFrom ?? null,
    convention: aim && up ? { aim, up } : null,
  };
}
