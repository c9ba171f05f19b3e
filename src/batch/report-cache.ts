import { createHash, randomBytes } from 'node:crypto';
import { mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { UsageError } from '../asset/errors.js';
import type { AssetReport } from '../report/report-types.js';
import { version } from '../version.js';
import type { ContentKey } from './content-key.js';

/**
 * Reports kept by what they depend on: the asset's bytes, the settings and the version of the tool.
 * Entries are written beside their place and moved onto it, so that runs at the same time share one
 * folder. An entry that is damaged in any way counts as none.
 */
export class ReportCache {
  private readonly folder: string;
  private readonly prefix: string;
  private broken = false;

  /**
   * @param folder Made when it is not there. Throws UsageError when it cannot be.
   * @param settings Digest of the settings.
   */
  constructor(folder: string, shown: string, settings: string) {
    this.folder = folder;
    this.prefix = `${FORMAT} ${version} ${settings}`;
    try {
      mkdirSync(folder, { recursive: true });
    } catch (error) {
      throw new UsageError(
        `the cache folder ${shown} cannot be made: ${explain(error)}; name another folder`,
      );
    }
  }

  /**
   * The report of this content; null when there is none.
   *
   * @param name The path it is to have.
   * @param hash Whether the hash of the file is wanted in it.
   */
  get(content: ContentKey, name: string, hash: boolean): AssetReport | null {
    let text: string;
    try {
      text = readFileSync(this.pathOf(content), 'utf8');
    } catch {
      return null;
    }
    const end = text.indexOf('\n');
    const body = text.slice(end + 1);
    if (end === -1 || text.slice(0, end) !== digestOf(body)) return null;
    // The digest shows that this is what `put` wrote.
    const report = JSON.parse(body) as AssetReport;
    const { container } = report;
    return {
      ...report,
      path: name,
      container: container && { ...container, sha256: hash ? content.file : null },
    };
  }

  /** Keeps a report. A folder that cannot be written to any more is left alone, and said once. */
  put(content: ContentKey, report: AssetReport, onTrouble: (why: string) => void): void {
    if (this.broken) return;
    const path = this.pathOf(content);
    const part = `${path}.${randomBytes(6).toString('hex')}.part`;
    const body = JSON.stringify({ ...report, path: '' });
    try {
      mkdirSync(dirname(path), { recursive: true });
      writeFileSync(part, `${digestOf(body)}\n${body}`);
      renameSync(part, path);
    } catch (error) {
      this.broken = true;
      try {
        rmSync(part, { force: true });
      } catch {
        // What could not be written need not be removed.
      }
      onTrouble(explain(error));
    }
  }

  private pathOf({ all }: ContentKey): string {
    const key = createHash('sha256').update(`${this.prefix} ${all}`).digest('hex');
    return join(this.folder, key.slice(0, 2), `${key.slice(2)}.json`);
  }
}

/** Goes up when what is kept changes its form. */
const FORMAT = 'trysquare-cache 1';

function digestOf(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}
