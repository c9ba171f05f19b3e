import picomatch from 'picomatch/posix.js';

/** Whether the name of a file or folder fits. */
export type NameTest = (name: string) => boolean;

/**
 * Stars and braces in one name. The matcher tries their lengths against each other: on a name of
 * 255 letters three stars cost 8 ms at worst, four 0.5 s, five 26 s, and file names come from
 * whoever delivers the files.
 */
const MOST_OPEN = 3;

/** Letters of a pattern of one name: alternatives in braces multiply as stars do. */
const LONGEST = 500;

/** Letters in one name; common file systems have none longer. */
const LONGEST_NAME = 255;

const OPTIONS = {
  dot: true,
  nonegate: true,
  noextglob: true,
  strictBrackets: true,
  // Has a class such as [z-a] refused instead of fitting nothing.
  debug: true,
} as const;

/** A pattern that cannot be used, in words that go on from "the pattern ...". */
export class PatternFault extends Error {}

/**
 * Compiles one name between slashes: `*`, `?`, `[a-z]`, `{a,b}`, and a backslash before what stands
 * for itself. Throws PatternFault.
 */
export function nameTest(pattern: string): NameTest {
  const test = compile(pattern, (source) => picomatch(source, OPTIONS));
  return (name) => name.length <= LONGEST_NAME && test(name);
}

/**
 * The same pattern as the source of a regular expression: text, which can be handed to another process
 * and is read without the matcher. A slash in the name is a letter like any other; how long a name may
 * be is up to whoever uses it. Throws PatternFault.
 */
export function nameExpression(pattern: string): string {
  return compile(pattern, (source) => picomatch.makeRe(source, { ...OPTIONS, bash: true }).source);
}

function compile<T>(pattern: string, make: (source: string) => T): T {
  if (pattern.length > LONGEST)
    throw new PatternFault(`has ${pattern.length} letters in one name (limit ${LONGEST})`);
  const { source, open } = translate(pattern);
  if (open > MOST_OPEN)
    throw new PatternFault(
      `has ${open} stars and braces in one name (limit ${MOST_OPEN}); write it shorter or as several`,
    );
  try {
    return make(source);
  } catch {
    throw new PatternFault(
      `has a bracket that is not closed or is empty; put a backslash before brackets and braces that are part of a name`,
    );
  }
}

/** The pattern as the matcher takes it: what only the matcher gives a meaning stands for itself. */
function translate(pattern: string): { source: string; open: number } {
  let [source, open, braces, inClass] = ['', 0, 0, false];
  for (let at = 0; at < pattern.length; at++) {
    const letter = pattern.charAt(at);
    if (letter === '\\') {
      const next = pattern.charAt(++at);
      if (next === '' || /[\p{L}\p{N}]/u.test(next))
        throw new PatternFault(
          'has a backslash that is not needed; write forward slashes between folders',
        );
      source += letter + next;
    } else if (inClass) {
      source += letter;
      if (letter === ']') inClass = false;
    } else if (letter === '[') {
      inClass = true;
      const negated = pattern.charAt(at + 1) === '!';
      source += negated ? '[^' : letter;
      if (negated) at++;
    } else if (letter === '*' && pattern.charAt(at - 1) === '*' && source.endsWith('*')) {
      // Within a name two stars say what one says.
    } else {
      if (letter === '*' || letter === '{') open++;
      if (letter === '{') braces++;
      if (letter === '}') braces--;
      if (braces > 0 && letter === '.' && pattern.charAt(at + 1) === '.')
        throw new PatternFault('has a range in braces; list the members, as in {1,2,3}');
      source += MEANT.includes(letter) ? `\\${letter}` : letter;
    }
  }
  return { source, open };
}

/** Letters that the matcher would take for groups, repeats, negation or quotes. */
const MEANT = '()+@!|^$"\'';
