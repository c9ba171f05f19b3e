/** Two 32-bit hashes of a list of texts. */
export type TextHash = readonly [number, number];

export const NO_TEXT: TextHash = [0x811c9dc5, 0x1b873593];

/** FNV-1a over the letters, with two seeds and a mark between texts. */
export function hashOn([first, second]: TextHash, text: string): TextHash {
  let [a, b] = [Math.imul(first ^ 0x2f, 0x01000193), Math.imul(second ^ 0x2f, 0x85ebca6b)];
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    a = Math.imul(a ^ code, 0x01000193);
    b = Math.imul(b ^ code, 0x85ebca6b);
    b ^= b >>> 13;
  }
  return [a, b];
}

/** As 16 hexadecimal digits. */
export function hashDigits(hash: TextHash): string {
  return hash.map((part) => (part >>> 0).toString(16).padStart(8, '0')).join('');
}
