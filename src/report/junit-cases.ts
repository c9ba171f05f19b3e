import { LEVELS, type Level } from '../kit/finding.js';
import type { AssetTimes } from './asset-times.js';
import { distinct } from './distinct-names.js';
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
  /** Milliseconds; null where nobody knows. */
  readonly time: number | null;
  readonly cases: readonly JunitCase[];
}

/** One rule on one rig, or the reading of the file. A case with neither text nor reason passed. */
export interface JunitCase {
  /** Unique in its suite: one of two cases of the same name is lost in some services. */
  readonly name: string;
  readonly classname: string;
  /** Milliseconds; null where nobody knows. */
  readonly time: number | null;
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
export function junitSuites(report: Report, times: readonly (AssetTimes | null)[]): JunitSuite[] {
  const suiteName = distinct();
  const suites = report.assets.map((asset, at) => ({
    name: suiteName(xmlLine(assetName(asset))),
    time: times[at]?.total ?? null,
    cases: casesOf(asset, report.failing, times[at] ?? null),
  }));
  if (report.partial === null) return suites;
  const name = suiteName('stopped');
  const error = stoppedWords(report.partial);
  const stopped = { name: 'whole run', classname: name, time: null, error };
  return [{ name, time: null, cases: [stopped] }, ...suites];
}

function casesOf(
  asset: AssetReport,
  failing: Report['failing'],
  times: AssetTimes | null,
): JunitCase[] {
  const caseName = distinct();
  const file = xmlLine(assetName(asset));
  const { unreadable, findings, rigs } = asset;
  const readable = caseName('readable');
  const taken = new Map(times?.rules.map(({ rig, rule, time }) => [`${rig} ${rule}`, time]));
  const timeOf = (rig: number | null, rule: string): number | null =>
    times && (taken.get(`${rig} ${rule}`) ?? 0);
  const cases: JunitCase[] = [];
  const add = (
    name: string,
    classname: string,
    time: number | null,
    outcome: Omit<JunitCase, 'name' | 'classname' | 'time'>,
  ) => cases.push({ name: caseName(name), classname, time, ...outcome });
  for (const [rule, own] of byRule(findings.filter((finding) => finding.rig === null)))
    add(rule, file, timeOf(null, rule), outcomeOf(own, failing));
  for (const rig of rigs) {
    const found = byRule(findings.filter((finding) => finding.rig === rig.index));
    const called = xmlLine(shortened(rig.name, NAME_LETTERS)) || `rig ${rig.index + 1}`;
    const named = rigs.length > 1 ? ` (${called})` : '';
    const ids = new Set([...rig.measured.map(({ rule }) => rule), ...found.keys()]);
    const skips = new Map(rig.measured.flatMap(skipOf));
    for (const rule of ids) {
      const own = found.get(rule) ?? [];
      const skipped = own.length > 0 ? undefined : skips.get(rule);
      add(`${rule}${named}`, `${file}/${called}`, timeOf(rig.index, rule), {
        ...outcomeOf(own, failing),
        ...(skipped !== undefined && { skipped }),
      });
    }
  }
  const ofRules = cases.reduce((sum, { time }) => sum + (time ?? 0), 0);
  // Passes when the rigs could be read, so that no suite is empty and the case has a past. All that
  // is done for no rule is done for it: cases add up to their suite, as services do.
  const first: JunitCase = {
    name: readable,
    classname: file,
    time: times && Math.max(0, times.total - ofRules),
    ...(unreadable !== null && { error: xmlLine(unreadableWords(unreadable)) }),
  };
  return [first, ...cases];
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
