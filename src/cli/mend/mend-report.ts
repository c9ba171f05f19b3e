import { dirname, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { axisName } from '../../measure/facts.js';
import { toText } from '../../report/json.js';
import type { PartReport } from '../../report/report-types.js';
import { version } from '../../report/version.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { fileSink, type Sink } from '../output/sinks.js';
import { makeFolders, refuseExisting, removeEmpty } from '../output/write-output.js';
import { isSameFile, isWithin } from '../paths/link-end.js';
import { realOf } from '../paths/real-of.js';
import type { MendChoices } from './mend-choices.js';
import type { MendFlags } from './mend-flags.js';
import type { MendRecord } from './mend-record.js';
import { MEND_REPORT_ID } from './mend-report-schema.js';
import { MendTally } from './mend-tally.js';
import type { OutDir } from './out-dir.js';

/** How far a run came that was stopped; null for one that was not. */
export type PartialRun = { readonly mended: number; readonly of: number } | null;

/** Writes the report of a mend asset by asset, so that a long run keeps none of them in memory. */
export class MendReport {
  private readonly tally = new MendTally();

  /** @param made Folders that were made for it, the inner ones first. */
  private constructor(
    private readonly sink: Sink,
    private readonly made: readonly string[],
  ) {}

  /**
   * Opens the report that the options ask for; null for none. Throws UsageError.
   *
   * @param taken Paths of files that it may not be written over: assets, and what is made of them.
   * @param out The folder that the run writes to: it is made where the report is to lie in it.
   */
  static async open(
    { report, replace = false, dryRun = false, like }: MendFlags,
    choices: MendChoices,
    part: PartReport | null,
    taken: readonly string[],
    { cwd }: Pick<Io, 'cwd'>,
    out: OutDir | null = null,
  ): Promise<MendReport | null> {
    if (report === undefined) return null;
    const shown = visible(report);
    if (report === '-' || /[\\/]$/.test(report) || !/\.json$/i.test(report))
      throw new UsageError(`--report names ${shown}; name a file that ends in .json`);
    const path = resolve(cwd, report);
    if (taken.some((file) => isSameFile(file, path)))
      throw new UsageError(`--report names ${shown}, which is an asset; name another file`);
    refuseExisting(path, shown, replace);
    const folder = dirname(path);
    const made =
      out !== null && isWithin(realOf(folder), realOf(out.path))
        ? makeFolders(folder, visible(dirname(report)))
        : [];
    let opened: MendReport;
    try {
      opened = new MendReport(fileSink(path, report, replace), made);
    } catch (error) {
      removeEmpty(made);
      throw error;
    }
    const head = toText({
      $schema: MEND_REPORT_ID,
      format: 'trysquare-mend',
      formatVersion: 1,
      tool: { name: 'trysquare', version },
      dryRun,
      asked: asked(choices, like ?? null),
      part,
    });
    await opened.sink.write(`${head.slice(0, -'\n}'.length)},\n  "assets": [`);
    return opened;
  }

  /** Why it cannot be written any more; what is mended after that is mended all the same. */
  trouble: UsageError | null = null;

  async add(record: MendRecord): Promise<void> {
    const lead = this.tally.assets === 0 ? '\n    ' : ',\n    ';
    this.tally.add(record);
    await this.write(`${lead}${toText(record).replaceAll('\n', '\n    ')}`);
  }

  async end(partial: PartialRun = null): Promise<void> {
    const { assets, outcomes, sound } = this.tally;
    const end = toText({ partial, totals: { assets, outcomes, sound } });
    await this.write(`${assets === 0 ? '' : '\n  '}],${end.slice(1)}\n`);
    if (this.trouble !== null) throw this.trouble;
    this.sink.finish();
  }

  private async write(text: string): Promise<void> {
    if (this.trouble !== null) return;
    try {
      await this.sink.write(text);
    } catch (error) {
      if (!(error instanceof UsageError)) throw error;
      this.trouble = error;
    }
  }

  /** Leaves no half-written file behind, and no folder that nothing was written to. */
  discard(): void {
    this.sink.discard();
    removeEmpty(this.made);
  }
}

function asked(
  { only, skip, also, allow, resample, restFrom, convention, pack }: MendChoices,
  like: string | null,
) {
  const axes = convention && { aim: axisName(convention.aim), up: axisName(convention.up) };
  return { only, skip, also, allow, like, resample, restFrom, convention: axes, pack };
}
