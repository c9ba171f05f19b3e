import type { Io } from '../io.js';
import type { FoundAsset } from '../paths/find-assets.js';
import type { Comparing } from './approved.js';
import type { ChosenSettings } from './choose-settings.js';

/** What the standard's approved assets ask of those found; loaded only where it names some. */
export async function comparingFor(
  chosen: ChosenSettings,
  found: readonly FoundAsset[],
  io: Io,
): Promise<Partial<Comparing>> {
  if (chosen.approved.length === 0) return {};
  const { compareByStandard } = await import('./approved.js');
  return compareByStandard(chosen, found, io.cwd);
}
