/**
 * Bytes of a name before its ending: file systems take 255 (POSIX NAME_MAX on those in use), and a
 * number and an ending are added.
 */
const MOST_BYTES = 120;

/**
 * Names of devices, with any ending and in any case. Source: Microsoft, "Naming Files, Paths, and
 * Namespaces".
 */
const DEVICES = /^(con|prn|aux|nul|com[0-9\u00b9\u00b2\u00b3]|lpt[0-9\u00b9\u00b2\u00b3])(\.|$)/i;

/**
 * A name for a file of each name given, in the same order: letters, digits, points and dashes only,
 * and no two that a file system could take for one. They do not have an ending yet.
 */
export function fileNames(names: readonly string[]): string[] {
  return names.map(fileNamer());
}

/** The same, a name at a time. */
export function fileNamer(): (name: string) => string {
  // Some file systems tell neither cases nor forms of one letter apart.
  const keyOf = (name: string): string => name.normalize('NFKC').toLowerCase().normalize('NFKC');
  const unique = uniqueNames((name, number) => `${name}-${number}`, keyOf);
  return (name) => unique(plainName(name));
}

/**
 * Gives each name once: later ones get a number, from 2.
 *
 * @param keyOf What is the same for two names that must not both be given; the name by default.
 */
export function uniqueNames(
  numbered: (name: string, number: number) => string,
  keyOf = (name: string): string => name,
): (name: string) => string {
  const taken = new Set<string>();
  const next = new Map<string, number>();
  return (name) => {
    let number = next.get(name) ?? 1;
    let unique = number === 1 ? name : numbered(name, number);
    while (taken.has(keyOf(unique))) unique = numbered(name, ++number);
    next.set(name, number + 1);
    taken.add(keyOf(unique));
    return unique;
  };
}

function plainName(name: string): string {
  const letters = name
    .normalize('NFC')
    .replace(/[^\p{L}\p{M}\p{N}._]+/gu, '-')
    // A leading point hides a file, a leading dash looks like an option, a trailing point is dropped.
    .replace(/^[-.]+|[-.]+$/g, '');
  const short = withinBytes(letters).replace(/[-.]+$/, '');
  if (short === '') return 'submission';
  return DEVICES.test(short) ? `submission-${short}` : short;
}

/** Leaves out a letter of which not all bytes fit. */
function withinBytes(name: string): string {
  return new TextDecoder().decode(Buffer.from(name).subarray(0, MOST_BYTES), { stream: true });
}
