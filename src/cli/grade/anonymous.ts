import { randomInt } from 'node:crypto';
import { existsSync } from 'node:fs';
import { dirname } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { ANIMAL, animalName } from '../../grade/handing-in/apart.js';
import {
  codesFor,
  isCode,
  keyWith,
  NO_KEY,
  readKey,
  refuseNamesAsCodes,
  withoutNames,
} from '../../grade/key.js';
import type { OlderMarks } from '../../grade/older/older-marks.js';
import { renamed } from '../../grade/older/read-older.js';
import { readHouseBytes } from '../../house/house-file.js';
import { decodeTable } from '../../house/table-text.js';
import type { AssetReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { compareTexts } from '../../rig/sibling-order.js';
import { makeFolder, writeChanged } from '../output/write-output.js';
import type { Submission } from './class-entries.js';
import type { KeyPlace } from './key-place.js';

/** Bytes of a key. */
const LONGEST_KEY = 1 << 24;

/** A class under its codes. */
export interface Anonymous {
  /** In the order of the codes, which says nothing of names. */
  readonly submissions: readonly Submission[];
  readonly older: OlderMarks | null;
  /** How many codes are new. */
  readonly added: number;
  /** Takes names of files out of what is told of an asset that could not be read. */
  clean(asset: AssetReport): AssetReport;
  /** Writes the key, where it has to be. Throws UsageError. */
  writeKey(): void;
}

/** Gives each submission, those of the hand-ins before too, its code. Throws UsageError. */
export function anonymised(
  submissions: readonly Submission[],
  older: OlderMarks | null,
  place: KeyPlace,
): Anonymous {
  const shown = visible(place.shown);
  const what = `the key ${shown}`;
  const raw = rawKey(place, what);
  const key = raw === null ? NO_KEY : readKey(raw.replace(MARK, ''), what);
  refuseNamesAsCodes(
    key,
    submissions.map(({ name }) => name),
    what,
  );
  const oldNames = (older?.all ?? []).map(({ name }) => name);
  const isOldCode = (name: string): boolean =>
    ownerOf(name, (owner) => isCode(key, owner)) !== null;
  if (older?.anonymous === true) {
    const lost = oldNames.filter((name) => !isOldCode(name));
    if (lost.length > 0)
      throw new UsageError(
        `${older.shown} was graded with codes that the key ${shown} does not have, such as ${visible(lost[0] ?? '')}; name its key with --key`,
      );
  }
  const present = new Set(submissions.map(({ name }) => name));
  const owner = (name: string): string => ownerOf(name, (known) => present.has(known)) ?? name;
  const names = [...present, ...oldNames.filter((name) => !isOldCode(name)).map(owner)];
  const { codes, added } = codesFor([...new Set(names)], key, (below) => randomInt(below));
  const codeOf = (name: string): string => codes.get(name) ?? name;
  const counts = new Map<string, number>();
  /** Animals get the numbers that they have now, in their order: their names can be those of students. */
  const olderCode = (name: string): string => {
    const whose = owner(name);
    if (isOldCode(name) || whose === name) return isOldCode(name) ? name : codeOf(name);
    const number = (counts.get(whose) ?? 0) + 1;
    counts.set(whose, number);
    return animalName(codeOf(whose), String(number));
  };
  const shadows = submissions.map((submission) => ({
    coded: codedSubmission(submission, codeOf(submission.name)),
    names: [submission.name, ...submission.list.map(({ shown: path }) => path)],
  }));
  const namesOf = new Map(
    shadows.flatMap(({ coded, names: own }) =>
      coded.list.map(({ shown: path }) => [path, { names: own, code: coded.name }] as const),
    ),
  );
  return {
    submissions: shadows.map(({ coded }) => coded).sort((a, b) => compareTexts(a.name, b.name)),
    older: older && renamed(older, olderCode),
    added: added.size,
    clean: (asset) => {
      const known = namesOf.get(asset.path);
      if (known === undefined || asset.unreadable === null) return asset;
      const { reason, where } = asset.unreadable;
      const cleaned = (text: string): string => withoutNames(text, known.names, known.code);
      return {
        ...asset,
        unreadable: { reason: cleaned(reason), where: where === null ? null : cleaned(where) },
      };
    },
    writeKey: () => {
      if (added.size === 0) return;
      makeFolder(dirname(place.path), visible(dirname(place.shown)));
      // A spreadsheet takes a table for UTF-8 by its byte order mark.
      const mark = raw === null ? '' : (MARK.exec(raw)?.[0] ?? '');
      writeChanged(place.path, shown, what, raw, `${mark}${keyWith(key, added)}`);
    },
  };
}

/**
 * Whose an older mark is: that of a submission, or of an animal that was marked apart and is called after
 * its submission; null where neither is known.
 */
function ownerOf(name: string, isKnown: (name: string) => boolean): string | null {
  if (isKnown(name)) return name;
  for (let at = name.indexOf(ANIMAL); at !== -1; at = name.indexOf(ANIMAL, at + 1))
    if (isKnown(name.slice(0, at))) return name.slice(0, at);
  return null;
}

/** A byte order mark. */
const MARK = /^\uFEFF/;

/** What the key holds; null where there is none yet. Throws UsageError. */
function rawKey({ path }: KeyPlace, what: string): string | null {
  if (!existsSync(path)) return null;
  const bytes = readHouseBytes(path, what, LONGEST_KEY);
  if (decodeTable(bytes, what).encoding !== 'utf-8')
    throw new UsageError(`${what} is not UTF-8; save it as CSV UTF-8, so that codes can be added`);
  return bytes.toString('utf8');
}

/** Its files have its code and a number for a name. */
function codedSubmission(submission: Submission, code: string): Submission {
  const { name, list, reason } = submission;
  const isFolder = list.some(({ shown }) => shown.startsWith(`${name}/`));
  const coded = list.map((asset, at) => {
    const ending = /\.[A-Za-z0-9]{1,5}$/.exec(asset.shown)?.[0] ?? '';
    const shown = isFolder ? `${code}/${at + 1}${ending}` : `${code}${ending}`;
    const names = [name, asset.shown];
    return asset.kind === 'nothing'
      ? { ...asset, shown, reason: withoutNames(asset.reason, names, code) }
      : { ...asset, shown };
  });
  const cleaned = reason && withoutNames(reason, [name, ...list.map(({ shown }) => shown)], code);
  return { ...submission, name: code, list: coded, reason: cleaned };
}
