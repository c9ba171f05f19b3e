import { LEVELS, type Level } from './finding.js';

/**
 * The order in which faults are mended, by family, or by rule where one has a place of its own.
 * First what every viewer needs to show the file at all; then what the rest is measured on: a joint
 * that is to hang elsewhere need not be turned first, and a rig stored in some pose is set back
 * before its frames are judged. Skin is painted anew once its joints are right.
 */
const ORDER: readonly string[] = [
  'file',
  'skin',
  'root',
  'chain',
  'rest',
  'scale',
  'axis',
  'place',
  'skin.shift',
  'skin.stray',
  'skin.side',
  'skin.remnant',
  'skin.idle',
  'skin.budget',
  'motion',
  'name',
  'fit.missing',
  'fit.unit',
  'fit.parent',
  'fit',
  'house',
];

/** Sorts the rule whose faults are mended first to the front; an unknown rule comes last. */
export function ruleOrder(a: string, b: string): number {
  return placeOf(a) - placeOf(b);
}

function placeOf(rule: string): number {
  const places = [ORDER.indexOf(rule), ORDER.indexOf(familyOf(rule))];
  return places.find((place) => place !== -1) ?? ORDER.length;
}

type Mendable = { readonly level: Level; readonly rule: string };

/** Sorts the finding that is mended first to the front: the more serious one, then by its rule. */
export function mendingOrder(a: Mendable, b: Mendable): number {
  return LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) || ruleOrder(a.rule, b.rule);
}

/** `axis` of `axis.up`. */
export function familyOf(rule: string): string {
  return rule.split('.')[0] ?? rule;
}
