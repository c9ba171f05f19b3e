import { compareFindings, type FindingsCompared } from '../../mend/compare-findings.js';
import type { MendResult, Offence } from '../../mend/mend-asset.js';
import { counted, shortened } from '../../report/finding-words.js';
import { PLAIN } from '../../report/paint.js';
import { pathOf } from '../../report/places.js';
import type { AssetReport, PlaceReport } from '../../report/report-types.js';
import { makePen } from '../../report/text-pen.js';
import { isAtFault } from '../../report/verdicts.js';
import { visible } from '../../report/visible.js';
import { type LeftFor, leftFor } from './left-words.js';
import { likeWords } from './like-words.js';
import { allowedWords, proofWords, seenWords } from './proof-words.js';

/** Columns of the widest text: longer lines are hard to read. */
const WIDEST = 100;

/** Paths can be of any length, and nobody reads on for pages: letters of one, and of a whole line. */
const [PLACE_LETTERS, LINE_LETTERS] = [300, 2000];

/** Plan, proof and both verdicts; wrapped for a terminal, a line each for a program. */
export function mendText(result: MendResult, columns: number | null): string {
  return laidOut(linesOf(result), columns);
}

/** Only what is at fault after the mend, and the verdict. */
export function quietText(result: MendResult, columns: number | null): string {
  const { after, offending } = result;
  if (offending !== null) return laidOut([offenceWords(offending)], columns);
  const faults = isAtFault(after.verdict) ? faultLines(result) : [];
  return laidOut([...faults, `${after.path}, after the mend: ${verdictWords(after)}.`], columns);
}

/** Lines for people, wrapped for a terminal. */
export function laidOut(unsafe: readonly string[], columns: number | null): string {
  const lines = unsafe.map((line) => visible(shortened(line, LINE_LETTERS)));
  if (columns === null) return `${lines.join('\n')}\n`;
  const pen = makePen({ columns: Math.min(columns, WIDEST), paint: PLAIN });
  const wrapped = lines.flatMap((line) => {
    const indent = line.startsWith(' ') ? 2 : 0;
    return pen.wrap(line.trimStart(), indent, indent + 2);
  });
  return `${wrapped.join('\n')}\n`;
}

export const short = (place: string): string => shortened(place, PLACE_LETTERS);

function linesOf(result: MendResult): string[] {
  const { before, after, changes, left, proof, offending, allowed, notes } = result;
  const lines = [`${before.path}: ${verdictWords(before)}.`];
  for (const change of changes)
    lines.push(
      `  mend ${change.rule} at ${short(change.place)}: ${short(change.before)} -> ${short(change.after)}`,
    );
  lines.push(...leftFor(left).map(leftWords));
  for (const { rule, place, waived } of before.findings)
    if (waived !== undefined)
      lines.push(`  left ${rule} at ${short(place.path)}: waived, ${waived.why}`);
  if (offending !== null) {
    lines.push(offenceWords(offending));
    return lines;
  }
  if (changes.length === 0) lines.push('  nothing to mend');
  const compared = compareFindings(before, after);
  lines.push(
    ...newWords(compared),
    ...restWords(result, compared),
    proofWords(proof, allowed.length > 0),
    ...(allowed.length > 0 ? [allowedWords(allowed, proof)] : []),
    ...likeWords(result),
    ...notes.map((note) => `Packed data: ${note}.`),
    `After the mend: ${verdictWords(after)}.`,
  );
  return lines;
}

/** What a repair would change that is seen, and what to do about it. */
export function offenceWords({ rules, repair, proof }: Offence): string {
  const ids = rules.join(',');
  const waysPast =
    rules.length === 0
      ? ''
      : ` To mend it nevertheless, add --allow-change ${ids}. To mend only the rest, add --skip ${ids}.`;
  const what = rules.join(' and ') || repair;
  return `Mending ${what} ${seenWords(proof)}. Nothing was written.${waysPast}`;
}

/** What is still at fault: left alone for a reason, new or worse, or without a repair. */
export function faultLines(result: MendResult, most = Number.POSITIVE_INFINITY): string[] {
  const { before, after, left } = result;
  const compared = compareFindings(before, after);
  const groups = leftFor(left);
  const more = groups.slice(most);
  const rules = [...new Set(more.map(({ rule }) => rule))].join(', ');
  const places = more.reduce((sum, group) => sum + group.places.length, 0);
  return [
    ...groups.slice(0, most).map(leftWords),
    ...(more.length === 0
      ? []
      : [
          `  left ${rules} at ${counted(places, 'more place')}, for other reasons; mend this file alone, or use --report, to see them`,
        ]),
    ...newWords(compared),
    ...restWords(result, compared),
  ];
}

/** What is left alone for one reason, each place once. */
function leftWords({ rule, places, why }: LeftFor): string {
  const more = places.length - 1;
  const also = more === 0 ? '' : ` and ${counted(more, 'more place')}`;
  return `  left ${rule} at ${short(places[0] ?? '')}${also}: ${why}`;
}

/** What the mend brought about: what is said of a joint can change with its neighbours. */
function newWords({ fresh, grown, risen }: FindingsCompared): string[] {
  const lines = fresh.map(
    ({ rule, place, message }) => `  new ${rule} at ${short(pathOf(place))}: ${message}`,
  );
  for (const { finding, places } of grown)
    lines.push(`  ${finding.rule} is now also at ${listed(places)}`);
  for (const { finding, from } of risen)
    lines.push(
      `  worse ${finding.rule} at ${short(pathOf(finding.place))}: ${from} before, ${finding.level} now: ${finding.message}`,
    );
  return lines;
}

/** Places that a line names. */
const NAMED = 5;

function listed(places: readonly PlaceReport[]): string {
  const names = places.slice(0, NAMED).map((place) => short(pathOf(place)));
  const more = places.length - NAMED;
  if (more > 0) return `${names.join(', ')} and ${more} more`;
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

/** What stays without having been listed: there is no repair for it. */
function restWords({ left, unasked }: MendResult, { kept }: FindingsCompared): string[] {
  const reported = new Set(left.map(({ rule, place }) => `${rule} ${place}`));
  const counts = new Map<string, number>();
  for (const { rule, place, places, waived } of kept) {
    const isReported = [place, ...places].some(({ path }) => reported.has(`${rule} ${path}`));
    if (waived === undefined && !isReported) counts.set(rule, (counts.get(rule) ?? 0) + 1);
  }
  if (counts.size === 0) return [];
  const each = (isOf: (rule: string) => boolean): string =>
    [...counts]
      .filter(([rule]) => isOf(rule))
      .map(([rule, count]) => (count === 1 ? rule : `${rule} (${count})`))
      .join(', ');
  const leftOut = each((rule) => unasked.has(rule));
  const others = each((rule) => !unasked.has(rule));
  return [
    ...(leftOut === '' ? [] : [`  left out by --only or --skip: ${leftOut}`]),
    ...(others === ''
      ? []
      : [`  not mended: ${others}; run trysquare check to see where, and what to do`]),
  ];
}

export function verdictWords({ verdict, counts }: AssetReport): string {
  const levels = ['error', 'warning', 'note'] as const;
  return [verdict, ...levels.map((level) => counted(counts[level], level))].join(', ');
}
