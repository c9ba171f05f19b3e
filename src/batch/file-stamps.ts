import { createHash } from 'node:crypto';
import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { putFile } from './part-file.js';

/** What an asset's report depends on besides the settings: its bytes and those of its buffers. */
export interface ContentKey {
  /** SHA-256 of the file itself. */
  readonly file: string;
  /** SHA-256 of the file and of every buffer it refers to. */
  readonly all: string;
}

/** What the file system tells of a file: it changes whenever the file is written, moved or replaced. */
export interface FileStamp {
  readonly path: string;
  /** Size, times of the last change of content and of anything, and the file's number. */
  readonly stamp: string;
  /** Whether the last change is so long ago that another one would show in the times. */
  readonly settled: boolean;
}

/**
 * File systems count time in steps, some of 2 s: a second change within a step leaves the times as
 * they are.
 */
const STEP_MS = 3000;

/** The stamps of files; null where one cannot be asked. `now` is in ms, as `Date.now()` tells it. */
export function stampsOf(paths: readonly string[], now = Date.now()): FileStamp[] | null {
  try {
    return paths.map((path) => {
      const { size, mtimeMs, mtimeNs, ctimeMs, ctimeNs, ino } = statSync(path, { bigint: true });
      const changed = Math.max(Number(mtimeMs), Number(ctimeMs));
      return {
        path,
        stamp: [size, mtimeNs, ctimeNs, ino].join(' '),
        settled: now - changed > STEP_MS,
      };
    });
  } catch {
    return null;
  }
}

/** Whether nothing was written to the files between the two, which must both be of the same files. */
export function sureSame(before: readonly FileStamp[], after: readonly FileStamp[]): boolean {
  return before.every(({ stamp, settled }, at) => settled && stamp === after[at]?.stamp);
}

/** One asset: its key, and each file that was hashed for it with its stamp. */
interface Known extends ContentKey {
  readonly files: readonly (readonly [path: string, stamp: string])[];
  /** The day it was last of use, in days since 1970. */
  readonly day: number;
}

/** Days after which what is no more asked for is forgotten. */
const KEEP_DAYS = 60;

/**
 * Keys of assets by the stamps of their files, so that what has not changed need not be hashed again.
 * One file in the cache's folder; of runs at the same time the last one's stays. A damaged one counts
 * as none.
 */
export class StampIndex {
  private readonly path: string;
  private readonly known: Map<string, Known>;
  private readonly today: number;
  private changed = false;

  constructor(folder: string, now: Date) {
    this.path = join(folder, 'files.json');
    this.today = Math.floor(now.getTime() / 86_400_000);
    this.known = readIndex(this.path);
  }

  /** The key of an asset whose files are as they were; null when it has to be hashed. */
  get(asset: string): ContentKey | null {
    const entry = this.known.get(asset);
    if (entry === undefined) return null;
    const now = stampsOf(entry.files.map(([path]) => path));
    if (now === null || now.some(({ stamp }, at) => stamp !== entry.files[at]?.[1])) return null;
    if (entry.day !== this.today) this.set(asset, entry, entry.files);
    return { file: entry.file, all: entry.all };
  }

  /** Remembers what was hashed, unless a change might not have shown. */
  put(asset: string, key: ContentKey, files: readonly FileStamp[]): void {
    if (!files.every(({ settled }) => settled)) return;
    this.set(
      asset,
      key,
      files.map(({ path, stamp }) => [path, stamp] as const),
    );
  }

  /** Writes it down. Without it the next run only takes longer, so nothing is said where it fails. */
  save(): void {
    if (!this.changed) return;
    const entries = [...this.known].filter(([, { day }]) => this.today - day <= KEEP_DAYS);
    const body = JSON.stringify(entries);
    try {
      putFile(this.path, `${digestOf(body)}\n${body}`);
    } catch {
      // The next run hashes again.
    }
  }

  private set(asset: string, { file, all }: ContentKey, files: Known['files']): void {
    this.known.set(asset, { file, all, files, day: this.today });
    this.changed = true;
  }
}

function readIndex(path: string): Map<string, Known> {
  try {
    const text = readFileSync(path, 'utf8');
    const end = text.indexOf('\n');
    const body = text.slice(end + 1);
    // The digest shows damage; that it fits does not show who wrote it.
    if (text.slice(0, end) === digestOf(body)) {
      const value: unknown = JSON.parse(body);
      if (Array.isArray(value) && value.every(isEntry)) return new Map(value);
    }
  } catch {
    // There is none yet.
  }
  return new Map();
}

function isEntry(value: unknown): value is [string, Known] {
  if (!isPair(value) || typeof value[0] !== 'string') return false;
  const known: unknown = value[1];
  return (
    typeof known === 'object' &&
    known !== null &&
    'file' in known &&
    isDigest(known.file) &&
    'all' in known &&
    isDigest(known.all) &&
    'day' in known &&
    Number.isInteger(known.day) &&
    'files' in known &&
    Array.isArray(known.files) &&
    // Without files it would hold whatever became of them.
    known.files.length > 0 &&
    known.files.every((file) => isPair(file) && file.every((part) => typeof part === 'string'))
  );
}

function isPair(value: unknown): value is [unknown, unknown] {
  return Array.isArray(value) && value.length === 2;
}

function isDigest(value: unknown): boolean {
  return typeof value === 'string' && /^[0-9a-f]{64}$/.test(value);
}

function digestOf(text: string): string {
  return createHash('sha256').update(`trysquare-stamps 1 ${text}`).digest('hex');
}
