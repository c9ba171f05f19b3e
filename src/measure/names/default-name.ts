/**
 * Names that programs give by themselves: a bare noun for the thing itself, with or without a
 * number and a side. Nouns of the trade at large; a body part is never one of them.
 */
const BARE_NOUN =
  /^(bone|joint|node|object|null|empty|group|transform|locator|dummy|helper|item|element|limb|effector|skeleton|untitled|unnamed|default)[ ._-]*\d*([ ._-]+\d+)*([ ._-]*(l|r|left|right))?([ ._-]*\d+)?$/i;

/** No program gives a longer name by itself, and the pattern is slow on one. Letters. */
const LONGEST = 64;

/** Whether a name is one that a program gave by itself (common practice). */
export function isDefaultName(name: string): boolean {
  return name.length <= LONGEST && BARE_NOUN.test(name.trim());
}
