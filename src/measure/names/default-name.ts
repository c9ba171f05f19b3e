/** Bare nouns that programs use by themselves, with any number and side; never a body part. */
const BARE_NOUN =
  /^(bone|joint|node|object|null|empty|group|transform|locator|dummy|helper|item|element|limb|effector|skeleton|untitled|unnamed|default)[ ._-]*\d*([ ._-]+\d+)*([ ._-]*(l|r|left|right))?([ ._-]*\d+)?$/i;
/** No program gives a longer name by itself, and the pattern is slow on one. Letters. */
const LONGEST = 64;

/** Whether a name is one that a program gave by itself (common practice). */
export function isDefaultName(name: string): boolean {
  return name.length <= LONGEST && BARE_NOUN.test(name.trim());
}
