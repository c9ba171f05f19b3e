import { LETTERS, type Letter } from '../rig/letters.js';

/**
 * A local matrix, column-major, turned about one of its own axes: M R, with R the turn about a letter
 * (right-handed, as rotations in glTF 2.0 are). What hangs on the joint turns with it.
 */
export function turnedAboutLetter(
  local: ArrayLike<number>,
  letter: Letter,
  degrees: number,
): number[] {
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const out = Array.from({ length: 16 }, (_, i) => local[i] ?? 0);
  const at = LETTERS.indexOf(letter);
  // The two axes after the letter turn towards each other: X turns Y to Z, Y turns Z to X.
  const [a, b] = [4 * ((at + 1) % 3), 4 * ((at + 2) % 3)];
  for (let row = 0; row < 3; row++) {
    const [first, second] = [local[a + row] ?? 0, local[b + row] ?? 0];
    out[a + row] = cos * first + sin * second;
    out[b + row] = cos * second - sin * first;
  }
  return out;
}
