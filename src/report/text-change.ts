import { changeCounts, changesBetween, type MovedFinding } from './changes.js';
import { numbersOf } from './finding-numbers.js';
import { joined, shortened, unreadableWords } from './finding-words.js';
import { pathOf } from './places.js';
import type { AssetReport, PlaceReport } from './report-types.js';
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
  const changes = changesBetween(before, after);
  const { mended, fresh, moved } = changes;
  const numbers = numbersOf(after.findings);
  const counts = changeCounts(changes, before === null);
  return [
    ...pen.wrap(`${title}: ${after.verdict}; ${counts}.`, 0, 2),
    ...mended.flatMap(({ rule, place }) =>
      pen.wrap(`${pen.paint.good('mended')} ${rule} at ${visible(pathOf(place))}`, 2, 4),
    ),
    ...moved.flatMap((entry) => pen.wrap(visible(movedWords(entry)), 2, 4)),
    ...fresh.flatMap((finding) => findingLines(finding, numbers, pen, 2)),
    '',
  ].join('\n');
}

/** Places of a changed finding that are named. */
const NAMED = 6;

/** `changed axis.up: no longer at "neck"; now also at "tail"`. Names are raw. */
export function movedWords({ finding, gone, come }: MovedFinding): string {
  const list = (places: readonly PlaceReport[]): string => {
    const more = places.length - NAMED;
    const named = places.slice(0, NAMED).map((place) => `"${shortened(place.name, NAME_LETTERS)}"`);
    return `${named.join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
  };
  const parts = [
    gone.length > 0 && `no longer at ${list(gone)}`,
    come.length > 0 && `now also at ${list(come)}`,
  ];
  return `changed ${finding.rule}: ${joined(parts, '; ')}`;
}

/** Letters of a name. */
const NAME_LETTERS = 80;
