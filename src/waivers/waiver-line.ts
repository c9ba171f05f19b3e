import type { Accepted, WaiverText } from './ledger.js';

/** One waiver as a line of JSON, what it does not say left out. */
export function waiverLine(waiver: WaiverText): string {
  const { rule, asset, rig, joint, aspect, accepted, why, by, until } = waiver;
  const texts = (keys: Readonly<Record<string, string | null | undefined>>): string[] =>
    Object.entries(keys).flatMap(([key, value]) =>
      value === null || value === undefined ? [] : [`"${key}": ${escaped(value)}`],
    );
  const pairs = [
    ...texts({ rule, asset, rig, joint, aspect }),
    ...(accepted === undefined ? [] : acceptedPairs(accepted)),
    ...texts({ why, by, until }),
  ];
  return `{ ${pairs.join(', ')} }`;
}

function acceptedPairs(accepted: Accepted): string[] {
  const { level, measured, unit, also, vertices, insteadOf, places } = accepted;
  return [
    `"level": "${level}"`,
    `"measured": ${measured}`,
    `"unit": ${escaped(unit)}`,
    ...(also === undefined ? [] : [`"also": ${numbersOf(also)}`]),
    ...(vertices === undefined ? [] : [`"vertices": [${vertices.short}, ${vertices.of}]`]),
    ...(insteadOf === undefined ? [] : [`"insteadOf": [${insteadOf.map(escaped).join(', ')}]`]),
    ...(places === null ? [] : [`"places": ${numbersOf(places)}`]),
  ];
}

function numbersOf(numbers: ReadonlyMap<string, number | null>): string {
  return `{ ${[...numbers].map(([key, value]) => `${escaped(key)}: ${value}`).join(', ')} }`;
}

/** JSON allows controls that terminals obey and editors hide; they are escaped as JSON escapes. */
function escaped(value: string): string {
  return JSON.stringify(value).replace(
    /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/g,
    (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}
