import { LEVELS, type Level } from './finding.js';

/**
 * Families of rules in the order in which their faults are mended: what every viewer needs to show
 * the file at all, then what the rest is measured on. A joint that is to hang elsewhere need not be
 * turned first, and a rig stored in some pose is set back before its frames are judged.
 */
const FAMILIES = [
  'file',
  'skin',
  'root',
  'chain',
  'rest',
  'scale',
  'axis',
  'place',
  'motion',
  'name',
];

/** Which of two families is mended first: negative for `a`. Families unknown here come last. */
export function familyOrder(a: string, b: string): number {
  return placeOf(a) - placeOf(b);
}

function placeOf(family: string): number {
  const at = FAMILIES.indexOf(family);
  return at === -1 ? FAMILIES.length : at;
}

/** Which of two findings is mended first: the more serious one, then by family. */
export function mendingOrder(
  a: { readonly level: Level; readonly rule: string },
  b: { readonly level: Level; readonly rule: string },
): number {
  return (
    LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) ||
    familyOrder(familyOf(a.rule), familyOf(b.rule))
  );
}

/** `axis` of `axis.up`. */
export function familyOf(rule: string): string {
  return rule.split('.')[0] ?? rule;
}
