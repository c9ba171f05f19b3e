import { runInNewContext } from 'node:vm';
import { mainFile } from '../../fixtures/build.js';
import type { Built } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import type { Verdict } from '../../src/report/report-types.js';
import { type ApprovedFile, type Like, standardLike } from '../../src/standard/like/like.js';
import { parseStandard } from '../../src/standard/read-standard.js';

/** Files by the name that people know them by. */
export type Files = Readonly<Record<string, Uint8Array>>;

export function filesOf(builds: Readonly<Record<string, Built>>): Files {
  return Object.fromEntries(Object.entries(builds).map(([name, built]) => [name, mainFile(built)]));
}

export function approved(files: Files): ApprovedFile[] {
  return Object.entries(files).map(([name, bytes]) => ({
    name,
    read: (settings, onModel) => checkAssetBytes(bytes, { settings, name, onModel }),
  }));
}

/** The standard made from some files. Throws where none is made. */
export async function likeOf(files: Files): Promise<Like> {
  const { like } = await standardLike(approved(files), rules);
  if (like === null) throw new Error('no rig was found');
  return like;
}

/** What a standard makes of each file. */
export async function verdicts({ text }: Like, files: Files): Promise<Record<string, Verdict>> {
  const { settings } = parseStandard(text, 'like.json', rules);
  const found: Record<string, Verdict> = {};
  for (const [name, bytes] of Object.entries(files))
    found[name] = (await checkAssetBytes(bytes, { settings, name })).verdict;
  return found;
}

/** The same standard as the language reads it whose comments and commas it has: ECMA-262, 12.4 and 13.2.5. */
export function asJavaScript(text: string): unknown {
  const value: unknown = runInNewContext(`(${text})`, {});
  return JSON.parse(JSON.stringify(value));
}
