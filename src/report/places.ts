import type { FindingReport, PlaceReport } from './report-types.js';

/** Places that words name one by one; all of them are in the JSON and CSV reports. */
const NAMED = 12;

/** What a finding lists besides its own place, in its order. */
export function otherPlaces({ place, places }: FindingReport): PlaceReport[] {
  return places.filter((other) => !isSame(other, place));
}

/** Two of one name are two: what is the same stands at the same spot of the file. */
function isSame(a: PlaceReport, b: PlaceReport): boolean {
  return a.kind === b.kind && a.pointer === b.pointer && a.path === b.path && a.joint === b.joint;
}

/**
 * `Also at "body/neck", "body/tail" and 3 more.`, or nothing where nothing is listed. Names are raw.
 *
 * @param told What is told of a place; its path by default.
 */
export function alsoWords(
  others: readonly PlaceReport[],
  told: (place: PlaceReport) => string = pathOf,
): string {
  if (others.length === 0) return '';
  const named = others.slice(0, NAMED).map((place) => `"${told(place)}"`);
  const more = others.length - named.length;
  return `Also at ${named.join(', ')}${more > 0 ? ` and ${more} more` : ''}.`;
}

/** The path of a place, or its name where it has none. */
export function pathOf({ path, name }: PlaceReport): string {
  return path === '' ? name : path;
}

/** `2 other joints`, `1 other place`: what a finding lists besides its own place; empty for nothing. */
export function othersWords(others: readonly PlaceReport[]): string {
  if (others.length === 0) return '';
  const noun = others.every(({ kind }) => kind === 'joint') ? 'joint' : 'place';
  return `${others.length} other ${noun}${others.length === 1 ? '' : 's'}`;
}
