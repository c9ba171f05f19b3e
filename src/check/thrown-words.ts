/** Letters of what somebody else's code throws that one line has room for: an error can hold a whole rig. */
const LONGEST = 240;

/**
 * The first line of what was thrown, without a stack: whoever wrote the code knows where it is. It can
 * be anything, and even fail when it is read as text.
 */
export function thrownWords(error: unknown): string {
  let words: unknown;
  try {
    words = error instanceof Error ? error.message : String(error);
  } catch {
    return 'it throws something that cannot be read as text';
  }
  const [line = ''] = typeof words === 'string' ? words.trim().split('\n') : [];
  if (line === '') return 'it throws an error without a message';
  return line.length > LONGEST ? `${line.slice(0, LONGEST)}...` : line;
}
