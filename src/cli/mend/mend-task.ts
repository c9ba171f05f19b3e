import type { ApprovedTask } from '../../batch/approved-task.js';
import type { PlainSettings } from '../../check/settings.js';
import type { RigRenames } from '../../mend/renames.js';
import type { AssetReport } from '../../report/report-types.js';
import type { MendChoices } from './mend-choices.js';
import type { MendPlace } from './mend-place.js';
import type { MendRecord } from './mend-record.js';

/** One asset of many to mend: all that a worker has to know. */
export interface MendTask {
  readonly path: string;
  readonly name: string;
  readonly settings: PlainSettings;
  /** The approved asset that it is compared with; null for none. */
  readonly approved: ApprovedTask | null;
  /** The standard that it is checked against, as the user knows it. */
  readonly standard: string | null;
  readonly choices: MendChoices;
  /** Null for a dry run. */
  readonly place: MendPlace | null;
  /** The ledger as the option says, the folder that it is looked for from, and the time. */
  readonly ledger: { readonly named?: string | boolean; readonly cwd: string; readonly now: Date };
  readonly columns: number | null;
  readonly isQuiet: boolean;
}

/** What comes back: never the file itself, which is written where it is made. */
export interface MendDone {
  readonly record: MendRecord;
  /** What people are told. */
  readonly text: string;
  readonly renames: RigRenames[];
  /** The report after the mend where rules of the house's own failed on it; else null. */
  readonly failed: AssetReport | null;
}
