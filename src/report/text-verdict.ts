import { ruleOrder } from '../kit/mending-order.js';
import { groupBy } from '../rig/group-by.js';
import { numberOrder } from './finding-numbers.js';
import { counted, countedLevels, joined, levelCounts, makesUnsound } from './finding-words.js';
import { distinctPlaces, othersWords } from './places.js';
import type { AssetReport, FindingReport, ReportHead } from './report-types.js';
import { termsOf } from './terms-of.js';
import { label, type TextPen, verdictWord } from './text-pen.js';
import { visible } from './visible.js';

/**
 * The last lines of an asset: what makes it unsound and what to do first, then how much was found and
 * how many rules passed.
 */
export function footer(asset: AssetReport, head: ReportHead, pen: TextPen): string[] {
  const waived = asset.findings.filter((finding) => finding.waived !== undefined).length;
  const counts = joined([
    `${levelCounts(asset.counts)}.`,
    waived > 0 && `${counted(waived, 'finding')} waived.`,
    passedRules(asset),
  ]);
  const lines = [`Verdict: ${verdictWords(asset, head, pen)}`, counts];
  return ['', ...lines.flatMap((line) => pen.wrap(line, 2, 4))];
}

function verdictWords(asset: AssetReport, head: ReportHead, pen: TextPen): string {
  const { failing } = termsOf(asset, head);
  const verdict = verdictWord(asset.verdict, pen);
  const { grave, causes, next } = verdictCauses(asset, failing);
  const first = causes[0]?.[0];
  if (first !== undefined)
    return `${verdict}, because of ${countedLevels(grave).join(' and ')}: ${causeWords(causes)}. First: ${firstStep(first)}`;
  if (next === null) return `${verdict}.`;
  return `${verdict}. Mend first ${causeOf([next])}: ${firstStep(next)}`;
}

/** What makes an asset unsound, and what is to be done first. */
export function verdictCauses({ findings }: AssetReport, failing: ReportHead['failing']) {
  const grave = findings.filter((finding) => makesUnsound(finding, failing));
  const causes = byRule(grave);
  const mild = findings.filter((finding) => makesUnsound(finding, 'warning'));
  return {
    /** The findings that make it unsound. */
    grave,
    /** The same by their rule. */
    causes,
    /** What to mend first, be it that it makes nothing unsound; null where there are notes at most. */
    next: causes[0]?.[0] ?? byRule(mild)[0]?.[0] ?? null,
  };
}

/** Findings by their rule, what is mended first at the head; of one rule, what is worst. */
function byRule(findings: readonly FindingReport[]): FindingReport[][] {
  return [...groupBy([...findings].sort(numberOrder), ({ rule }) => rule).values()];
}

/** Rules that a verdict names; the tree has them all. */
const NAMED = 4;

/** `axis.up at "shin_L" and 1 other joint, root.single`: each rule once, at its worst place. */
function causeWords(causes: readonly (readonly FindingReport[])[]): string {
  const named = causes.slice(0, NAMED).map(causeOf);
  const more = causes.length - named.length;
  return `${named.join(', ')}${more > 0 ? ` and ${counted(more, 'more rule')}` : ''}`;
}

/** `axis.up at "shin_L" and 1 other joint`: a rule at its worst place. */
export function causeOf([first, ...more]: readonly FindingReport[]): string {
  if (first === undefined) return '';
  const { rule, place } = first;
  const all = [first, ...more].flatMap((finding) => [finding.place, ...finding.places]);
  const others = distinctPlaces(all).slice(1);
  // A rig or a file is no place in the tree: what it lists is.
  if (place.kind === 'asset' || place.kind === 'rig')
    return others.length === 0 ? rule : `${rule} at ${othersWords(others, '')}`;
  const and = others.length === 0 ? '' : ` and ${othersWords(others)}`;
  return `${rule} at "${label(place.name)}"${and}`;
}

/** Letters of what is to be done first. */
const STEP_LETTERS = 200;

/** The first sentence of a remedy, not ended by a full stop inside a name; of a long one what is before its list. */
export function firstStep({ remedy, message }: FindingReport): string {
  const said = remedy === '' ? message : remedy;
  const [sentence = said] = /^(?:"[^"]*"|[^".]|\.(?! |$))*\.(?= |$)/.exec(said) ?? [];
  if (sentence.length <= STEP_LETTERS) return visible(sentence);
  const [head = ''] = /^(?:"[^"]*"|[^":])+(?=: )/.exec(sentence) ?? [];
  const cut = head === '' || head.length > STEP_LETTERS;
  return visible(cut ? `${sentence.slice(0, STEP_LETTERS)}...` : `${head}.`);
}

/**
 * `37 of 39 rules passed, 1 not applicable.` A rule passed where it fell short on no rig, has no finding
 * and none that another rule reports for it.
 */
function passedRules({ rigs, findings }: AssetReport): string {
  const all = new Set<string>();
  const judged = new Set<string>();
  const failed = new Set<string>();
  for (const entry of rigs.flatMap(({ measured }) => measured)) {
    all.add(entry.rule);
    if (entry.kind === 'not applicable') continue;
    judged.add(entry.rule);
    if (entry.short + entry.elsewhere !== 0) failed.add(entry.rule);
  }
  if (all.size === 0) return '';
  for (const { rule } of findings) for (const set of [all, judged, failed]) set.add(rule);
  const passed = judged.size - failed.size;
  return `${passed} of ${judged.size} rules passed, ${all.size - judged.size} not applicable.`;
}

/** Rules that the summary of several assets names. */
const MOST_NAMED = 3;

/** Which rules make the assets of a run unsound, and how many of them each. */
export class CauseTally {
  private readonly assets = new Map<string, number>();
  private unsound = 0;

  constructor(private readonly failing: ReportHead['failing']) {}

  add({ findings, verdict, standard }: AssetReport): void {
    if (verdict !== 'unsound') return;
    this.unsound++;
    const failing = standard?.failing ?? this.failing;
    const grave = findings.filter((finding) => makesUnsound(finding, failing));
    for (const rule of new Set(grave.map((finding) => finding.rule)))
      this.assets.set(rule, (this.assets.get(rule) ?? 0) + 1);
  }

  /** `Most often unsound because of axis.up (5 assets), root.single (2).`; empty where no rule has two assets. */
  words(): string {
    const named = [...this.assets]
      .filter(([, count]) => count > 1)
      .sort(([a, many], [b, more]) => more - many || ruleOrder(a, b))
      .slice(0, MOST_NAMED)
      .map(([rule, count], at) => `${rule} (${count}${at === 0 ? ' assets' : ''})`);
    if (this.unsound < 2 || named.length === 0) return '';
    return `Most often unsound because of ${named.join(', ')}.`;
  }
}
