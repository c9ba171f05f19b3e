import { createHash } from 'node:crypto';
import { lstatSync, mkdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { UsageError } from '../asset/errors.js';
import type { AssetReport } from '../report/report-types.js';
import { version } from '../version.js';
import type { ContentKey } from './content-key.js';
import { putFile } from './part-file.js';

/** A cache as a worker is told of it. */
export interface CachePlace {
  readonly folder: string;
  /** Digest of the settings. */
  readonly settings: string;
}

/** Throws UsageError when the folder cannot be made; `shown` is its name to the user. */
export function makeCacheFolder(folder: string, shown: string): void {
  try {
    mkdirSync(folder, { recursive: true });
  } catch (error) {
    throw new UsageError(
      `the cache folder ${shown} cannot be made: ${whyNot(folder, error)}; name another folder`,
    );
  }
}

function whyNot(folder: string, error: unknown): string {
  try {
    const stats = lstatSync(folder, { throwIfNoEntry: false });
    if (stats?.isSymbolicLink() === true) return 'it is a link that leads to no folder';
    if (stats?.isFile() === true) return 'it is a file';
  } catch {
    // The first error says as much.
  }
  return explain(error);
}

/**
 * Reports kept by what they depend on: the asset's bytes, the settings and the version of the tool.
 * Entries are written beside their place and moved onto it, so that runs at the same time share one
 * folder. An entry that is damaged in any way counts as none.
 */
export class ReportCache {
  private readonly folder: string;
  private readonly prefix: string;

  constructor({ folder, settings }: CachePlace) {
    this.folder = folder;
    this.prefix = `${FORMAT} ${version} ${settings}`;
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

  /** Keeps a report. Gives back why it cannot be kept; null when it is. */
  put(content: ContentKey, report: AssetReport): string | null {
    const path = this.pathOf(content);
    const body = JSON.stringify({ ...report, path: '' });
    try {
      mkdirSync(dirname(path), { recursive: true });
      putFile(path, `${digestOf(body)}\n${body}`);
      return null;
    } catch (error) {
      return explain(error);
    }
  }

  private pathOf({ all }: ContentKey): string {
    const key = createHash('sha256').update(`${this.prefix} ${all}`).digest('hex');
    return join(this.folder, key.slice(0, 2), `${key.slice(2)}.json`);
  }
}

/** Goes up when what is kept changes its form. */
const FORMAT = 'trysquare-cache 2';

function digestOf(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}
