import type { AssetReport, FindingReport } from './report-types.js';
import type { TextOptions } from './text.js';
import { findingLines } from './text-finding.js';
import { makePen } from './text-pen.js';
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
  options: Pick<TextOptions, 'columns' | 'paint'>,
): string {
  const pen = makePen(options);
  const { paint } = pen;
  const title = `${time} ${paint.title(visible(after.path))}`;
  if (after.unreadable !== null) {
    const { reason, where } = after.unreadable;
    const place = where === null ? '' : ` (at ${where})`;
    const words = visible(
      `cannot be read now: ${reason}${place}. It will be checked again when it changes.`,
    );
    return `${pen.wrap(`${title}: ${words}`, 0, 2).join('\n')}\n`;
  }
  const old = new Map((before?.findings ?? []).filter(standing).map((item) => [keyOf(item), item]));
  const now = after.findings.filter(standing);
  const keys = new Set(now.map(keyOf));
  const mended = [...old].filter(([key]) => !keys.has(key)).map(([, item]) => item);
  const fresh = now.filter((item) => !old.has(keyOf(item)));
  const left = now.length - fresh.length;
  const counts = [
    ...(before === null ? [] : [`${mended.length} mended`]),
    `${fresh.length} new`,
    `${left} as before`,
  ];
  return [
    ...pen.wrap(`${title}: ${after.verdict}; ${counts.join(', ')}.`, 0, 2),
    ...mended.flatMap((item) =>
      pen.wrap(`${paint.good('mended')} ${item.rule} at ${visible(placeOf(item))}`, 2, 4),
    ),
    ...fresh.flatMap((item) => findingLines(item, pen, 2)),
    '',
  ].join('\n');
}

function standing(finding: FindingReport): boolean {
  return finding.waived === undefined;
}

/** A finding is the same when its rule tells the same place again, whatever it measures there. */
function keyOf({ rule, rig, place }: FindingReport): string {
  return JSON.stringify([rule, rig, place.kind, place.path]);
}

function placeOf({ place }: FindingReport): string {
  return place.path === '' ? place.name : place.path;
}
