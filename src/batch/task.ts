import { rules } from '../../rules/index.js';
import { checkAsset } from '../check/check-asset.js';
import { type PlainSettings, settingsFromPlain } from '../check/plain-settings.js';
import type { AssetReport } from '../report/report-types.js';

/** One asset to check: all that a worker has to know. */
export interface CheckTask {
  readonly path: string;
  /** Its path in the report. */
  readonly name: string;
  readonly settings: PlainSettings;
  /** Also hash the whole file. */
  readonly hash: boolean;
  /** Also give back the text of a `.gltf`, for reports that point into it. */
  readonly text: boolean;
}

export interface CheckResult {
  readonly report: AssetReport;
  readonly text: string | null;
}

/** Checks one asset. What a worker runs, and what runs in this thread where there is no pool. */
export async function runTask(task: CheckTask): Promise<CheckResult> {
  let text: string | null = null;
  const report = await checkAsset(task.path, {
    settings: settingsFromPlain(task.settings, rules),
    name: task.name,
    hash: task.hash,
    onText: (json) => {
      if (task.text) text = json;
    },
  });
  return { report, text };
}
