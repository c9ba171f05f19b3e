import { counted } from './finding-words.js';
import type { FindingReport, PlaceReport } from './report-types.js';

/** Places that words name one by one; all of them are in the JSON and CSV reports. */
const NAMED = 12;

/** What a finding lists besides its own place, in its order. */
export function otherPlaces({ place, places }: FindingReport): PlaceReport[] {
  return distinctPlaces([place, ...places]).slice(1);
}

/** Indices of all joints that a finding is about, the one it is told at first. */
export function placeJoints(finding: FindingReport): number[] {
  return [finding.place, ...otherPlaces(finding)].flatMap(({ joint }) =>
    joint === null ? [] : [joint],
  );
}

/** Each place once. Two of one name are two: what is the same stands at the same spot of the file. */
export function distinctPlaces(places: readonly PlaceReport[]): PlaceReport[] {
  const known = new Map<string, PlaceReport>();
  for (const place of places) {
    const key = JSON.stringify([place.kind, place.pointer, place.path, place.joint]);
    if (!known.has(key)) known.set(key, place);
  }
  return [...known.values()];
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
  return others.length === 0 ? '' : placesWords(others, 'other ');
}

/** `4 joints`, `1 place`. */
export function placesWords(places: readonly PlaceReport[], which = ''): string {
  const noun = places.every(({ kind }) => kind === 'joint') ? 'joint' : 'place';
  return counted(places.length, `${which}${noun}`);
}
