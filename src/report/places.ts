import { groupBy } from '../rig/group-by.js';
import { counted, findingWords, waiverWords } from './finding-words.js';
import type { FindingReport, PlaceReport } from './report-types.js';

/** Places that words name one by one; all of them are in the JSON and CSV reports. */
const NAMED = 12;

/** What a finding lists besides its own place, in its order. */
export function otherPlaces({ place, places }: FindingReport): PlaceReport[] {
  return distinctPlaces([place, ...places]).slice(1);
}

/** Indices of all joints that a finding is about, that of its own place first. */
export function placeJoints({ place, places }: FindingReport): number[] {
  return jointsOf(distinctPlaces([place, ...places]));
}

/** Indices of the joints among some places. */
export function jointsOf(places: readonly PlaceReport[]): number[] {
  return places.flatMap(({ joint }) => (joint === null ? [] : [joint]));
}

/** Each place once. Two of one name are two, if they are at different spots of the file. */
export function distinctPlaces(places: readonly PlaceReport[]): PlaceReport[] {
  const alike = groupBy(places, ({ kind, pointer, path, joint }) =>
    JSON.stringify([kind, pointer, path, joint]),
  );
  return [...alike.values()].flatMap(([first]) => first ?? []);
}

/**
 * `Also at "body/neck", "body/tail" and 3 more.`, or nothing where nothing is listed. Names are raw.
 *
 * @param nameOf What a place is called; its path by default.
 */
export function alsoWords(others: readonly PlaceReport[], nameOf = pathOf): string {
  if (others.length === 0) return '';
  const named = others.slice(0, NAMED).map((place) => `"${nameOf(place)}"`);
  const more = others.length - named.length;
  return `Also at ${named.join(', ')}${more > 0 ? ` and ${more} more` : ''}.`;
}

/** The path of a place, or its name where it has none. */
export function pathOf({ path, name }: PlaceReport): string {
  return path === '' ? name : path;
}

/** `2 other joints`, `1 other place`; with an empty `which`, `2 joints`. */
export function othersWords(others: readonly PlaceReport[], which = 'other '): string {
  const noun = others.every(({ kind }) => kind === 'joint') ? 'joint' : 'place';
  return counted(others.length, `${which}${noun}`);
}

/** The words of a finding, those of its other places and those of its waiver, where it has them. */
export function findingSentences(finding: FindingReport): string[] {
  const also = alsoWords(otherPlaces(finding));
  return [
    findingWords(finding),
    ...(also === '' ? [] : [also]),
    ...(finding.waived === undefined ? [] : [waiverWords(finding.waived)]),
  ];
}
