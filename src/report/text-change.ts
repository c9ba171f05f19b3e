import { numbersOf } from './finding-numbers.js';
import { unreadableWords } from './finding-words.js';
import { pathOf } from './places.js';
import type { AssetReport, FindingReport } from './report-types.js';
import { findingLines, makePen, type PenOptions } from './text-pen.js';
import { visible } from './visible.js';

/**
 * What changed in an asset since it was last checked, for a person who exports it again and again:
 * what is mended and what is new, before what is left.
 *
 * @param before Null when it is seen for the first time.
 * @param time Time of day, as it is to be shown.
 */
export function changeText(
  before: AssetReport | null,
  after: AssetReport,
  time: string,
  options: PenOptions,
): string {
  const pen = makePen(options);
  const title = `${time} ${pen.paint.title(visible(after.path))}`;
  if (after.unreadable !== null) {
    const words = `cannot be read now: ${unreadableWords(after.unreadable)} It will be checked again when it changes.`;
    return `${pen.wrap(`${title}: ${visible(words)}`, 0, 2).join('\n')}\n`;
  }
  const old = new Map(unwaived(before).map((finding) => [keyOf(finding), finding]));
  const now = unwaived(after);
  const keys = new Set(now.map(keyOf));
  const mended = [...old].flatMap(([key, finding]) => (keys.has(key) ? [] : [finding]));
  const fresh = now.filter((finding) => !old.has(keyOf(finding)));
  const news = `${fresh.length} new, ${now.length - fresh.length} as before`;
  const numbers = numbersOf(after.findings);
  const counts = before === null ? news : `${mended.length} mended, ${news}`;
  return [
    ...pen.wrap(`${title}: ${after.verdict}; ${counts}.`, 0, 2),
    ...mended.flatMap(({ rule, place }) =>
      pen.wrap(`${pen.paint.good('mended')} ${rule} at ${visible(pathOf(place))}`, 2, 4),
    ),
    ...fresh.flatMap((finding) => findingLines(finding, numbers, pen, 2)),
    '',
  ].join('\n');
}

function unwaived(asset: AssetReport | null): FindingReport[] {
  return asset?.findings.filter(({ waived }) => waived === undefined) ?? [];
}

/** A finding is the same when its rule reports the same place again, whatever it measures there. */
function keyOf({ rule, rig, place }: FindingReport): string {
  return JSON.stringify([rule, rig, place.kind, place.path]);
}
