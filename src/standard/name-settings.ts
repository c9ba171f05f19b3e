import {
  type NamePattern,
  PLAIN_PATTERN,
  readPattern,
  SIDE_SPELLINGS,
  whySideIsLost,
} from '../measure/names/name-pattern.js';

/** What a standard says of names, once it fits the schema. */
export interface WrittenNames {
  readonly pattern?: string;
  readonly sides?: string;
  readonly digits?: number;
}

/**
 * The pattern that names are made by, defaults filled in.
 *
 * @param fail Throws a UsageError about one of the keys.
 */
export function namesFrom(
  { pattern: text = PLAIN_PATTERN, sides: written = SIDE_SPELLINGS[0], digits = 1 }: WrittenNames,
  fail: (key: keyof WrittenNames, message: string) => never,
): NamePattern {
  const parts = readPattern(text);
  if (typeof parts === 'string') return fail('pattern', `"names" > "pattern" ${parts}`);
  // The schema has let through none but those of two words.
  const [left = '', right = ''] = written.split('/');
  const pattern = { text, parts, sides: { left, right }, digits };
  const lost = whySideIsLost(pattern);
  return lost === null ? pattern : fail('pattern', `"names" > "pattern" ${lost}`);
}
