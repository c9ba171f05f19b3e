import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { type Marked, markSubmission } from '../../src/grade/submission.js';
import type { AssetReport } from '../../src/report/report-types.js';

export const SETTINGS = defaultSettings(rules);

/** A submission marked at the defaults, or by the points given. */
export function mark(
  name: string,
  assets: readonly AssetReport[],
  points: Readonly<Record<string, number>> | null = null,
  reason: string | null = null,
): Marked {
  return markSubmission(name, assets, reason, rubricOf(points, rules), SETTINGS);
}

/** What a row has besides its marks, in a class that is compared with nothing. */
export const ALONE = {
  from: 'a',
  feedback: 'feedback/a.md',
  record: { content: null, joints: null, faults: null },
  since: null,
  late: 0,
};
