import { LEVELS, type Level } from '../kit/finding.js';
import { groupBy } from '../rig/group-by.js';
import type { AssetTimes } from './asset-times.js';
import { uniqueNames } from './file-names.js';
import {
  assetName,
  counted,
  failedWords,
  makesUnsound,
  shortened,
  stoppedWords,
  unreadableWords,
} from './finding-words.js';
import { findingSentences } from './places.js';
import type { AssetReport, AssetStandard, FindingReport, Report } from './report-types.js';
import { termsOf } from './terms-of.js';
import { xmlLine } from './visible.js';

/** All text is fit for XML, of one line or of lines of our own. */
export interface JunitSuite {
  readonly name: string;
  /** Milliseconds; null where nobody knows. */
  readonly time: number | null;
  readonly cases: readonly JunitCase[];
  /** What it was checked against; absent where that is the standard of the run. */
  readonly own?: AssetStandard;
}

/** One rule on one rig, or the reading of the file. A case with neither text nor reason passed. */
export interface JunitCase {
  /** Unique in its suite: one of two cases of the same name is lost in some services. */
  readonly name: string;
  readonly classname: string;
  /** Milliseconds; null where nobody knows. */
  readonly time: number | null;
  /** Why the asset cannot be read, or the rule failed. */
  readonly error?: string;
  /** The findings that make the asset unsound. */
  readonly failure?: { readonly level: Level; readonly message: string; readonly text: string };
  /** Why the rule does not apply. */
  readonly skipped?: string;
  /** Findings below the failing level, and waived ones. */
  readonly mild?: string;
}

/** Letters of a rig's name: a file can hold one of a megabyte, and each rule would repeat it. */
const NAME_LETTERS = 120;

/**
 * Suites in asset order; cases in rig and rule order, those about the file first. When the run was
 * stopped, a suite that counts as an error comes before them all: what is missing did not pass.
 */
export function junitSuites(report: Report, times: readonly (AssetTimes | null)[]): JunitSuite[] {
  const suiteName = numberedNames();
  const suites = report.assets.map((asset, at) => ({
    name: suiteName(xmlLine(assetName(asset))),
    time: times[at]?.total ?? null,
    cases: casesOf(asset, termsOf(asset, report).failing, times[at] ?? null),
    ...(asset.standard && { own: asset.standard }),
  }));
  if (report.partial === null) return suites;
  const name = suiteName('stopped');
  return [errorSuite(name, 'whole run', stoppedWords(report.partial)), ...suites];
}

/** A suite about no asset, with one case that counts as an error. */
export function errorSuite(name: string, caseName: string, error: string): JunitSuite {
  return { name, time: null, cases: [{ name: caseName, classname: name, time: null, error }] };
}

function numberedNames(): (name: string) => string {
  return uniqueNames((name, number) => `${name} (${number})`);
}

function casesOf(
  asset: AssetReport,
  failing: Report['failing'],
  times: AssetTimes | null,
): JunitCase[] {
  const caseName = numberedNames();
  const file = xmlLine(assetName(asset));
  const { unreadable, findings, rigs } = asset;
  const readable = caseName('readable');
  const taken = new Map(times?.rules.map(({ rig, rule, time }) => [`${rig} ${rule}`, time]));
  const caseOf = (rule: string, rig: number | null, found: readonly FindingReport[]) => ({
    time: times && (taken.get(`${rig} ${rule}`) ?? 0),
    ...outcomeOf(found, failing),
  });
  const byRule = (index: number | null): Map<string, FindingReport[]> =>
    groupBy(
      findings.filter(({ rig }) => rig === index),
      ({ rule }) => rule,
    );
  const cases: JunitCase[] = [];
  for (const [rule, found] of byRule(null))
    cases.push({ name: caseName(rule), classname: file, ...caseOf(rule, null, found) });
  // A file without a rig is not to be counted as one that passed.
  if (asset.verdict === 'nothing to judge')
    cases.push({
      name: caseName('rig'),
      classname: file,
      time: times && 0,
      skipped: `${asset.verdict}: the file has no rig`,
    });
  for (const { index, name, measured } of rigs) {
    const findingsOf = byRule(index);
    const rigName = xmlLine(shortened(name, NAME_LETTERS)) || `rig ${index + 1}`;
    const suffix = rigs.length > 1 ? ` (${rigName})` : '';
    const reasons = new Map(
      measured.flatMap((entry) => (entry.kind === 'judged' ? [] : [[entry.rule, entry.because]])),
    );
    for (const rule of new Set([...measured.map(({ rule }) => rule), ...findingsOf.keys()])) {
      const found = findingsOf.get(rule) ?? [];
      const because = found.length > 0 ? undefined : reasons.get(rule);
      cases.push({
        name: caseName(`${rule}${suffix}`),
        classname: `${file}/${rigName}`,
        ...caseOf(rule, index, found),
        ...(because !== undefined && { skipped: xmlLine(`Not applicable, because ${because}.`) }),
      });
    }
  }
  for (const failed of asset.failed ?? []) {
    const { rule, rig } = failed;
    const time = times && (taken.get(`${rig} ${rule}`) ?? 0);
    const error = xmlLine(failedWords(failed, asset));
    cases.push({ name: caseName(rule), classname: file, time, error });
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

function outcomeOf(
  findings: readonly FindingReport[],
  failing: Report['failing'],
): Pick<JunitCase, 'failure' | 'mild'> {
  const grave = findings.filter((finding) => makesUnsound(finding, failing));
  const mild = findings.filter((finding) => !makesUnsound(finding, failing));
  const more = grave.length > 1 ? `${counted(grave.length, 'finding')}, the first: ` : '';
  return {
    ...(grave[0] !== undefined && {
      failure: {
        level: LEVELS.find((level) => grave.some((finding) => finding.level === level)) ?? 'error',
        message: `${more}${xmlLine(grave[0].message)}`,
        text: grave.map(textOf).join('\n\n'),
      },
    }),
    ...(mild.length > 0 && { mild: mild.map(textOf).join('\n\n') }),
  };
}

/** A line for level and place, one for the words, one for the other places, one for a waiver. */
function textOf(finding: FindingReport): string {
  const { level, place } = finding;
  const at = place.path === '' ? '' : ` at ${place.kind} ${place.path}`;
  return [`${level}${at}`, ...findingSentences(finding)].map(xmlLine).join('\n');
}
