import type { Log, Region, Result, Run } from 'sarif';
import type { AssetReport } from '../../src/report/report-types.js';
import { type SarifOptions, writeSarif } from '../../src/report/sarif.js';
import { SAMPLE_RULES, sampleReport, sarifOptions } from './sample-report.js';

/** The run of the log that a report of these assets gives. */
export function runOf(assets: readonly AssetReport[], change: Partial<SarifOptions> = {}): Run {
  const text = writeSarif(sampleReport(assets), SAMPLE_RULES, sarifOptions(change));
  // The writer's own type, which the schema test holds the text to.
  const { runs } = JSON.parse(text) as Log;
  const [run] = runs;
  if (run === undefined) throw new Error('there is no run');
  return run;
}

/** The results that are faults. */
export function faultsOf(run: Run): readonly Result[] {
  return (run.results ?? []).filter((result) => result.kind === undefined);
}

/** The region of each fault. */
export function regionsOf(run: Run): readonly (Region | undefined)[] {
  return faultsOf(run).map((result) => result.locations?.[0]?.physicalLocation?.region);
}
