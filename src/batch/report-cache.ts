import { createHash } from 'node:crypto';
import { lstatSync, mkdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { UsageError } from '../asset/errors.js';
import type { AssetReport } from '../report/report-types.js';
import { version } from '../report/version.js';
import type { ContentKey } from './file-stamps.js';
import { isKeptReport } from './kept-report.js';
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

/** Bytes of an entry: far above what the limit on a report's letters lets through. */
const LONGEST_ENTRY = 1 << 28;

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
    const report = this.read(content);
    if (report === null) return null;
    const { container } = report;
    return {
      ...report,
      path: name,
      container: container && { ...container, sha256: hash ? content.file : null },
    };
  }

  /** Keeps a report. Gives back why it cannot be kept; null when it is. */
  put(content: ContentKey, report: AssetReport): string | null {
    const key = this.keyOf(content);
    const path = this.pathOf(key);
    const body = JSON.stringify({ ...report, path: '' });
    try {
      mkdirSync(dirname(path), { recursive: true });
      putFile(path, `${digestOf(key, body)}\n${body}`);
      return null;
    } catch (error) {
      return explain(error);
    }
  }

  /** What an entry says, if it is one of this content that is whole. */
  private read(content: ContentKey): AssetReport | null {
    const key = this.keyOf(content);
    try {
      const path = this.pathOf(key);
      // A pipe or device would never end, and no report is so long.
      const stats = statSync(path);
      if (!stats.isFile() || stats.size > LONGEST_ENTRY) return null;
      const text = readFileSync(path, 'utf8');
      const end = text.indexOf('\n');
      const body = text.slice(end + 1);
      // The digest shows damage, and an entry that was put in the place of another.
      if (end === -1 || text.slice(0, end) !== digestOf(key, body)) return null;
      const value: unknown = JSON.parse(body);
      return isKeptReport(value) ? value : null;
    } catch {
      // There is none, or it is no JSON.
      return null;
    }
  }

  private keyOf({ all }: ContentKey): string {
    return createHash('sha256').update(`${this.prefix} ${all}`).digest('hex');
  }

  private pathOf(key: string): string {
    return join(this.folder, key.slice(0, 2), `${key.slice(2)}.json`);
  }
}

/** Goes up when what is kept changes its form. */
const FORMAT = 'trysquare-cache 3';

function digestOf(key: string, body: string): string {
  return createHash('sha256').update(`${key}\n${body}`).digest('hex');
}
