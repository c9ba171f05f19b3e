import { existsSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import type { HandbookData } from '../../handbook/handbook-data.js';
import { writeHandbook } from '../../handbook/handbook-html.js';
import type { Rule } from '../../kit/rule.js';
import type { SetRules } from '../../report/limit-words.js';
import { version } from '../../report/version.js';
import { visible } from '../../report/visible.js';
import { distOf, type Io } from '../io.js';
import { refuseExisting, writeDocument, writeWhole } from '../output/write-output.js';

/** Where a handbook goes. */
export interface HandbookFlags {
  readonly out?: string;
  readonly replace?: boolean;
}

/** Who reads a handbook: students are asked to mend by hand, and are told of no command that does. */
type Reader = 'rigger' | 'student';

/** The handbook of some rules as a page, with what a standard sets. Throws UsageError where this copy was built without one. */
export async function handbookOf(
  rules: readonly Rule[],
  isWhole: boolean,
  set: SetRules | null,
  io: Pick<Io, 'pageScript'>,
  reader: Reader = 'rigger',
): Promise<string> {
  const repairs = reader === 'student' ? [] : (await import('../../mend/repairs.js')).REPAIRS;
  // What the build has written, in this version of the tool.
  const data = JSON.parse(built('handbook.json', io)) as HandbookData;
  return writeHandbook({
    rules,
    isWhole,
    data,
    script: built('handbook.js', io).trim(),
    set,
    mendable: new Set(repairs.flatMap((repair) => repair.rules)),
    tool: `trysquare ${version}`,
  });
}

/** Whether this copy was built with a handbook. */
export function hasHandbook(io: Pick<Io, 'pageScript'>): boolean {
  const folder = distOf(io);
  return folder !== null && FILES.every((name) => existsSync(join(folder, name)));
}

const FILES = ['handbook.json', 'handbook.js'];

function built(name: string, io: Pick<Io, 'pageScript'>): string {
  const folder = distOf(io);
  const path = folder === null ? null : join(folder, name);
  if (path !== null && existsSync(path)) return readFileSync(path, 'utf8');
  throw new UsageError('this copy of trysquare has no handbook; build it with "npm run build"');
}

/** Writes the handbook of some rules to a file that is not there, or to standard output. */
export async function writeHandbookTo(
  shown: string,
  { replace = false }: HandbookFlags,
  rules: readonly Rule[],
  isWhole: boolean,
  set: SetRules | null,
  io: Io,
): Promise<void> {
  if (shown === '-') {
    if (replace) throw new UsageError('--replace goes with --out FILE');
    return writeDocument(io.stdout, await handbookOf(rules, isWhole, set, io));
  }
  const path = resolve(io.cwd, shown);
  if (!/\.html?$/i.test(shown))
    throw new UsageError(
      `--out names ${visible(shown)}, but the handbook is a page; give it the ending .html`,
    );
  refuseExisting(path, visible(shown), replace);
  writeWhole(path, visible(shown), await handbookOf(rules, isWhole, set, io), replace);
}
