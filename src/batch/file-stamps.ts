import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { sha256 } from '../asset/crypto.js';
import { putFile } from './part-file.js';

/**
 * What an asset's report depends on besides the settings: SHA-256 of the file itself, and of the file
 * with every buffer it refers to.
 */
export interface ContentKey {
  readonly file: string;
  readonly all: string;
}

/** What the file system says of a file: it changes whenever the file is written, moved or replaced. */
export interface FileStamp {
  readonly path: string;
  /** Size, times of the last change of content and of anything, and the file's number. */
  readonly stamp: string;
  /** Whether the last change is so long ago that another one would show in the times. */
  readonly settled: boolean;
}

/** File systems count time in steps of up to 2 s: a second change within one leaves no trace. */
const STEP_MS = 3000;

/** The stamps of files; null where one cannot be had. `now` is in ms, as `Date.now()` gives it. */
export function stampsOf(paths: readonly string[], now = Date.now()): FileStamp[] | null {
  try {
    return paths.map((path) => {
      const { size, mtimeMs, mtimeNs, ctimeMs, ctimeNs, ino } = statSync(path, { bigint: true });
      const settled = now - Math.max(Number(mtimeMs), Number(ctimeMs)) > STEP_MS;
      return { path, stamp: [size, mtimeNs, ctimeNs, ino].join(' '), settled };
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
interface Entry extends ContentKey {
  readonly files: readonly (readonly [path: string, stamp: string])[];
  /** The day it was last of use, in days since 1970. */
  readonly day: number;
}

/** Days after which what was not used is forgotten. */
const KEEP_DAYS = 60;

/**
 * Keys of assets by the stamps of their files, so that what has not changed need not be hashed again.
 * One file in the cache's folder; of two runs at the same time the last one's stays. A damaged file
 * counts as none.
 */
export class StampIndex {
  private readonly path: string;
  private readonly entries: Map<string, Entry>;
  private readonly today: number;
  private changed = false;

  constructor(folder: string, now: Date) {
    this.path = join(folder, 'files.json');
    this.today = Math.floor(now.getTime() / 86_400_000);
    this.entries = readIndex(this.path);
  }

  /** The key of an asset whose files are as they were; null when it has to be hashed. */
  get(asset: string): ContentKey | null {
    const entry = this.entries.get(asset);
    if (entry === undefined) return null;
    const { file, all, files, day } = entry;
    const now = stampsOf(files.map(([path]) => path));
    if (now === null || now.some(({ stamp }, at) => stamp !== files[at]?.[1])) return null;
    if (day !== this.today) this.set(asset, { file, all, files });
    return { file, all };
  }

  /** Remembers what was hashed, unless a change might not have shown. */
  put(asset: string, { file, all }: ContentKey, stamps: readonly FileStamp[]): void {
    if (!stamps.every(({ settled }) => settled)) return;
    this.set(asset, { file, all, files: stamps.map(({ path, stamp }) => [path, stamp]) });
  }

  /** Writes it down. Without it the next run only takes longer, so nothing is said where it fails. */
  save(): void {
    if (!this.changed) return;
    const entries = [...this.entries].filter(([, { day }]) => this.today - day <= KEEP_DAYS);
    const body = JSON.stringify(entries);
    try {
      putFile(this.path, `${digestOf(body)}\n${body}`);
    } catch {}
  }

  private set(asset: string, entry: Omit<Entry, 'day'>): void {
    this.entries.set(asset, { ...entry, day: this.today });
    this.changed = true;
  }
}

function readIndex(path: string): Map<string, Entry> {
  try {
    const text = readFileSync(path, 'utf8');
    const end = text.indexOf('\n');
    const body = text.slice(end + 1);
    // The digest shows damage; that it fits does not show who wrote it.
    const value: unknown = text.slice(0, end) === digestOf(body) ? JSON.parse(body) : null;
    if (Array.isArray(value) && value.every(isEntry)) return new Map(value);
  } catch {
    // There is none yet.
  }
  return new Map();
}

function isEntry(value: unknown): value is [string, Entry] {
  if (!isPair(value) || typeof value[0] !== 'string' || !isRecord(value[1])) return false;
  const { file, all, day, files } = value[1];
  if (!isDigest(file) || !isDigest(all) || !Number.isInteger(day)) return false;
  // Without files it would be good whatever became of them.
  if (!Array.isArray(files) || files.length === 0) return false;
  return files.every((pair) => isPair(pair) && pair.every((part) => typeof part === 'string'));
}

export function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null;
}

function isPair(value: unknown): value is [unknown, unknown] {
  return Array.isArray(value) && value.length === 2;
}

function isDigest(value: unknown): boolean {
  return typeof value === 'string' && /^[0-9a-f]{64}$/.test(value);
}

function digestOf(text: string): string {
  return sha256().update(`trysquare-stamps 1 ${text}`).digest('hex');
}
