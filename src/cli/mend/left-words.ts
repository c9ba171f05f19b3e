import type { LeftAlone } from '../../mend/repair.js';
import { groupBy } from '../../rig/group-by.js';

/** What one rule found and is left for one reason. */
export interface LeftFor {
  readonly rule: string;
  /** Each place once. */
  readonly places: readonly string[];
  readonly why: string;
}

/** A measure with its unit; a number in a name has none. */
const MEASURE = /(?<![\w."])\d+(?:\.\d+)?(?= ?(?:%|\u00b0|(?:m|cm|mm|km|s)\b))/g;

/** What was left, by rule and reason. Reasons that differ in their measures alone are one, with their range. */
export function leftFor(left: readonly LeftAlone[]): LeftFor[] {
  const alike = groupBy(left, ({ rule, why }) =>
    JSON.stringify([rule, why.replaceAll(MEASURE, '#')]),
  );
  return [...alike.values()].map((list) => ({
    rule: list[0]?.rule ?? '',
    places: [...new Set(list.map(({ place }) => place))],
    why: inOne(list.map(({ why }) => why)),
  }));
}

/** `0.2 to 7 % of size` where reasons say 0.2 %, 7 % and what lies between. */
function inOne(reasons: readonly string[]): string {
  const [first = ''] = reasons;
  const measures = reasons.map((why) => why.match(MEASURE) ?? []);
  let at = 0;
  return first.replaceAll(MEASURE, () => {
    const sorted = measures.map((list) => list[at] ?? '').sort((a, b) => Number(a) - Number(b));
    at++;
    const [least = '', most = ''] = [sorted[0], sorted.at(-1)];
    return least === most ? least : `${least} to ${most}`;
  });
}
