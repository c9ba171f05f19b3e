/** What stands before names on one side alone. */
export interface StrayPrefix {
  readonly text: string;
  /** Whether the clips have it, or the rig. */
  readonly of: 'clips' | 'rig';
}

/** Longer names are not taken apart. */
const LONGEST = 200;

/** The one text that, taken off all of some names or put before them, makes names that the rig has. */
export function prefixBetween(
  strays: readonly string[],
  names: readonly string[],
): StrayPrefix | null {
  const [first] = strays;
  if (first === undefined || first.length > LONGEST) return null;
  const known = new Set(names);
  for (let cut = 1; cut < first.length; cut++) {
    const text = first.slice(0, cut);
    if (!known.has(first.slice(cut))) continue;
    if (strays.every((name) => name.startsWith(text) && known.has(name.slice(cut))))
      return { text, of: 'clips' };
  }
  for (const name of known) {
    if (name.length === first.length || !name.endsWith(first)) continue;
    const text = name.slice(0, name.length - first.length);
    if (strays.every((stray) => known.has(text + stray))) return { text, of: 'rig' };
  }
  return null;
}
