import { LEVELS, type Level } from '../kit/finding.js';
import {
  assetName,
  counted,
  findingWords,
  makesUnsound,
  shortened,
  stoppedWords,
  unreadableWords,
  waiverWords,
} from './finding-words.js';
import { alsoWords, otherPlaces } from './places.js';
import type { AssetReport, FindingReport, MeasuredReport, Report } from './report-types.js';
import { xmlLine } from './xml-text.js';

/** All text is fit for XML, of one line or of lines of our own. */
export interface JunitSuite {
  readonly name: string;
  readonly cases: readonly JunitCase[];
}

/** One rule on one rig, or the reading of the file. A case with neither text nor reason passed. */
export interface JunitCase {
  /** Unique in its suite: one of two cases of the same name is lost in some services. */
  readonly name: string;
  readonly classname: string;
  /** Why the asset cannot be read. */
  readonly error?: string;
  /** The findings that make the asset unsound. */
  readonly failure?: { readonly level: Level; readonly message: string; readonly text: string };
  /** Why the rule does not apply. */
  readonly skipped?: string;
  /** Findings below the failing level, and waived ones. */
  readonly told?: string;
}

/** Letters of a rig's name: a file can hold one of a megabyte, and each rule would repeat it. */
const NAME_LETTERS = 120;

/**
 * Suites in asset order; cases in rig and rule order, those about the file first. Before them all
 * stands one that counts as an error when the run was stopped: what is missing did not pass.
 */
export function junitSuites(report: Report): JunitSuite[] {
  const suiteName = distinct();
  const suites = report.assets.map((asset) => ({
    name: suiteName(xmlLine(assetName(asset))),
    cases: casesOf(asset, report.failing),
  }));
  if (report.partial === null) return suites;
  const name = suiteName('stopped');
  const error = stoppedWords(report.partial);
  return [{ name, cases: [{ name: 'whole run', classname: name, error }] }, ...suites];
}

function casesOf(asset: AssetReport, failing: Report['failing']): JunitCase[] {
  const caseName = distinct();
  const file = xmlLine(assetName(asset));
  const { unreadable, findings, rigs } = asset;
  // Passes when the rigs could be read, so that no suite is empty and the case has a past.
  const cases: JunitCase[] = [
    {
      name: caseName('readable'),
      classname: file,
      ...(unreadable !== null && { error: xmlLine(unreadableWords(unreadable)) }),
    },
  ];
  const add = (rule: string, classname: string, outcome: Omit<JunitCase, 'name' | 'classname'>) =>
    cases.push({ name: caseName(rule), classname, ...outcome });
  for (const [rule, own] of byRule(findings.filter((finding) => finding.rig === null)))
    add(rule, file, outcomeOf(own, failing));
  for (const rig of rigs) {
    const found = byRule(findings.filter((finding) => finding.rig === rig.index));
    const called = xmlLine(shortened(rig.name, NAME_LETTERS)) || `rig ${rig.index + 1}`;
    const told = rigs.length > 1 ? ` (${called})` : '';
    const ids = new Set([...rig.measured.map(({ rule }) => rule), ...found.keys()]);
    const skips = new Map(rig.measured.flatMap(skipOf));
    for (const rule of ids) {
      const own = found.get(rule) ?? [];
      const skipped = own.length > 0 ? undefined : skips.get(rule);
      add(`${rule}${told}`, `${file}/${called}`, {
        ...outcomeOf(own, failing),
        ...(skipped !== undefined && { skipped }),
      });
    }
  }
  return cases;
}

function skipOf(measured: MeasuredReport): [string, string][] {
  if (measured.kind === 'judged') return [];
  return [[measured.rule, xmlLine(`Not applicable, because ${measured.because}.`)]];
}

function byRule(findings: readonly FindingReport[]): Map<string, FindingReport[]> {
  const rules = new Map<string, FindingReport[]>();
  for (const finding of findings) {
    const own = rules.get(finding.rule);
    if (own === undefined) rules.set(finding.rule, [finding]);
    else own.push(finding);
  }
  return rules;
}

function outcomeOf(
  findings: readonly FindingReport[],
  failing: Report['failing'],
): Pick<JunitCase, 'failure' | 'told'> {
  const grave = findings.filter((finding) => makesUnsound(finding, failing));
  const light = findings.filter((finding) => !makesUnsound(finding, failing));
  const [first] = grave;
  return {
    ...(first !== undefined && {
      failure: {
        level: LEVELS.find((level) => grave.some((finding) => finding.level === level)) ?? 'error',
        message:
          grave.length === 1
            ? xmlLine(first.message)
            : `${counted(grave.length, 'finding')}, the first: ${xmlLine(first.message)}`,
        text: grave.map(textOf).join('\n\n'),
      },
    }),
    ...(light.length > 0 && { told: light.map(textOf).join('\n\n') }),
  };
}

/** A line for the level and the place, one for the words, one for what else is listed, one for a waiver. */
function textOf(finding: FindingReport): string {
  const { level, place, waived } = finding;
  const at = place.path === '' ? '' : ` at ${place.kind} ${place.path}`;
  const also = alsoWords(otherPlaces(finding));
  const lines = [`${level}${at}`, findingWords(finding), ...(also === '' ? [] : [also])];
  if (waived !== undefined) lines.push(waiverWords(waived));
  return lines.map(xmlLine).join('\n');
}

/** Gives each name once: later ones get a number. */
function distinct(): (name: string) => string {
  const given = new Set<string>();
  const next = new Map<string, number>();
  return (name) => {
    let number = next.get(name) ?? 1;
    let tried = number === 1 ? name : `${name} (${number})`;
    while (given.has(tried)) tried = `${name} (${++number})`;
    next.set(name, number + 1);
    given.add(tried);
    return tried;
  };
}
