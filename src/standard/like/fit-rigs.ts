import { reportRigs } from '../../check/build-report.js';
import type { Settings } from '../../check/settings.js';
import { isFailing } from '../../kit/finding.js';
import type { FindingReport } from '../../report/report-types.js';
import type { RigModel } from '../../rig/types.js';
import type { Loosening } from './loosening.js';
import { rigLabel } from './rig-seen.js';

/** Rounds in which limits are moved; after them levels alone, of which there is one a rule. */
const ROUNDS = 8;

/**
 * Loosens until the rigs of an asset are sound, and gives the rules that still find something
 * then, with the rig. What a looser limit
 * lets another rule say is met in the next round.
 */
export function fitRigs(
  model: RigModel,
  file: string,
  settings: Settings,
  loosening: Loosening,
): (readonly [rule: string, rig: string])[] {
  const tried = new Set<string>();
  for (let round = 1; ; round++) {
    const current = loosening.applied(settings);
    const { findings } = reportRigs(model, current);
    const failing = findings.filter(({ level }) => isFailing(level, current.failing));
    if (failing.length === 0)
      return findings.map((finding) => [finding.rule, labelOf(model, finding, file)]);
    const stubborn = failing.filter((finding) => {
      const rig = labelOf(model, finding, file);
      const isNew = round <= ROUNDS && !tried.has(finding.identity);
      tried.add(finding.identity);
      return !(isNew && loosening.moveLimit(finding, current, rig));
    });
    for (const finding of stubborn) loosening.soften(finding.rule, labelOf(model, finding, file));
  }
}

function labelOf({ rigs }: RigModel, { rig }: FindingReport, file: string): string {
  return rigLabel(rigs, rig === null ? undefined : rigs[rig], file);
}
