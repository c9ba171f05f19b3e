import type { AssetTimes } from './asset-times.js';
import { counted } from './finding-words.js';
import { errorSuite, junitSuites } from './junit-cases.js';
import { type JunitStep, junitXml } from './junit-xml.js';
import { collected, type ReportStream } from './report-stream.js';
import type { Report, ReportHead } from './report-types.js';

/** Some services refuse a larger file. */
const MOST_BYTES = 30_000_000;

const LAST_STEP: JunitStep = { letters: 300, every: false };
const STEPS: readonly JunitStep[] = [
  { letters: Infinity, every: true },
  { letters: 2000, every: true },
  { letters: 300, every: true },
  LAST_STEP,
];

/**
 * A report as JUnit XML: a suite an asset, a case a rule of each rig. Only what the narrowest of the
 * published schemas allows is written (a `skipped` has no attribute, a case no file or line).
 *
 * @param options.mostBytes Bytes of UTF-8 that the file stays under.
 * @param options.times What the run spent on each asset, in their order; null, or none, where nobody
 * knows: for an asset from a cache, or from a report that was joined. Such a time is left out.
 */
export function writeJunit(
  report: Report,
  {
    mostBytes = MOST_BYTES,
    times = [],
  }: { readonly mostBytes?: number; readonly times?: readonly (AssetTimes | null)[] } = {},
): string {
  const suites = junitSuites(report, times);
  for (const step of STEPS) {
    const text = junitXml(suites, report, step, mostBytes);
    if (text !== null) return text;
  }
  // Assets are left out from the end, and a suite that counts as an error says so; the one about a
  // stopped run stays.
  const head = suites.length - report.assets.length;
  for (let kept = report.assets.length >> 1; ; kept >>= 1) {
    const error = `${counted(report.assets.length - kept, 'asset')} left out to keep this file under ${mostBytes / 1e6} MB. Check fewer assets at once, or read the JSON report.`;
    const some = [...suites.slice(0, head + kept), errorSuite('left out', 'whole report', error)];
    const text = junitXml(some, report, LAST_STEP, kept === 0 ? Infinity : mostBytes);
    if (text !== null) return text;
  }
}

/** The same, asset by asset. */
export function junitStream(head: ReportHead): ReportStream {
  const times: (AssetTimes | null)[] = [];
  const whole = collected(head, (report) => writeJunit(report, { times }));
  return {
    ...whole,
    asset(asset, pictures, taken = null) {
      times.push(taken);
      return whole.asset(asset, pictures);
    },
  };
}
