import type { Settings } from '../check/settings.js';
import { attempt, type MendResult, type Outcome } from './attempt.js';
import type { MendOptions } from './mending.js';
import { NeverWorse } from './never-worse.js';
import { Progress } from './progress.js';
import { Readings } from './readings.js';
import type { LeftAlone, Repair } from './repair.js';
import { SparedPlaces } from './spared.js';

export type { MendResult } from './attempt.js';
export type { MendOptions, Offence } from './mending.js';
export { LARGEST_SHIFT } from './proof/proof-limits.js';

/**
 * Mends what can be mended exactly in one asset. A repair that never comes to rest, since each of its
 * mends brings up another thing to mend, is left out of it altogether: a mended file has to be one that
 * a mend does not change. What makes something else worse is left out, too, unless it is asked for, and so is
 * the one repair without which the clips of an approved rig show no worse than before.
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
  /** The one repair that is tried without, since clips of the approved rig show its work worse. */
  let held: Repair | null = null;
  const spared = new SparedPlaces();
  const guard = new NeverWorse(repairs, options, spared);
  const progress = new Progress(options.watch);
  const readings = new Readings(progress);
  /** One run without the repairs that do not come to rest. */
  const rest = async (): Promise<Outcome> => {
    for (;;) {
      const able = repairs.filter((repair) => repair !== held && !leftOut.includes(repair));
      const outcome = await attempt(path, settings, able, options, { spared, readings, progress });
      if (!('restless' in outcome)) return outcome;
      leftOut.push(...outcome.restless);
    }
  };
  const settle = async (): Promise<MendResult> => {
    for (;;) {
      const outcome = await rest();
      const { result } = outcome;
      const isMade = result.offending === null && result.isTurned;
      if (!isMade || !guard.isWorse(result) || !guard.spareFor(outcome)) return result;
    }
  };
  let result = await settle();
  if (isPlayedWorse(result)) {
    const changed = new Set(result.changes.map(({ rule }) => rule));
    for (held of repairs.filter(({ rules }) => rules.some((rule) => changed.has(rule)))) {
      const without = await settle();
      if (isPlayedWorse(without)) continue;
      result = without;
      break;
    }
    if (isPlayedWorse(result)) held = null;
  }
  const leftFor = (stopped: readonly Repair[], why: string): LeftAlone[] => {
    const rules = new Set(stopped.flatMap((repair) => repair.rules));
    return result.after.findings
      .filter(({ rule }) => rules.has(rule))
      .map(({ rule, place }) => ({ rule, place: place.path, why }));
  };
  const left = [...leftFor(leftOut, RESTLESS), ...leftFor(held ? [held] : [], PLAYED_WORSE)];
  return { ...result, left: [...result.left, ...left] };
}

function isPlayedWorse({ played }: MendResult): boolean {
  return played?.some(({ isWorse }) => isWorse) === true;
}

const PLAYED_WORSE =
  'a mend of it would make the clips of the approved rig show this one farther off';

const RESTLESS = 'each mend of it leads to another finding like it';
