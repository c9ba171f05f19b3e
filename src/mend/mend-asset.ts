import type { Settings } from '../check/settings.js';
import { attempt, type MendResult, type Outcome } from './attempt.js';
import type { MendOptions } from './mending.js';
import { NeverWorse } from './never-worse.js';
import { Progress } from './progress.js';
import { Readings } from './readings.js';
import type { Repair } from './repair.js';
import { SparedPlaces } from './spared.js';

export type { MendResult } from './attempt.js';
export type { MendOptions, Offence } from './mending.js';
export { LARGEST_SHIFT } from './proof/proof-limits.js';

/**
 * Mends what can be mended exactly in one asset. A repair that never comes to rest, since each of its
 * mends brings up another thing to mend, is left out of it altogether: a mended file has to be one that
 * a mend does not change. What makes something else worse is left out, too, unless it is asked for.
 *
 * @param repairs In the order they are to be applied.
 * @throws AssetError when the asset cannot be read, or carries what a mend would break.
 */
export async function mendAsset(
  path: string,
  settings: Settings,
  repairs: readonly Repair[],
  options: MendOptions = {},
): Promise<MendResult> {
  const leftOut: Repair[] = [];
  const spared = new SparedPlaces();
  const guard = new NeverWorse(repairs, options, spared);
  const progress = new Progress(options.watch);
  const readings = new Readings(progress);
  /** One run without the repairs that do not come to rest. */
  const rest = async (): Promise<Outcome> => {
    for (;;) {
      const able = repairs.filter((repair) => !leftOut.includes(repair));
      const outcome = await attempt(path, settings, able, options, { spared, readings, progress });
      if (!('restless' in outcome)) return outcome;
      leftOut.push(...outcome.restless);
    }
  };
  let outcome = await rest();
  const isToBeMadeAgain = (): boolean => {
    const { result } = outcome;
    const isMade = result.offending === null && result.isTurned;
    return isMade && guard.isWorse(result) && guard.spareFor(outcome);
  };
  while (isToBeMadeAgain()) outcome = await rest();
  const { result } = outcome;
  const rules = new Set(leftOut.flatMap((repair) => repair.rules));
  const left = result.after.findings
    .filter(({ rule }) => rules.has(rule))
    .map(({ rule, place }) => ({ rule, place: place.path, why: RESTLESS }));
  return { ...result, left: [...result.left, ...left] };
}

const RESTLESS = 'each mend of it leads to another finding like it';
