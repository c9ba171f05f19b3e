import { totalsOf } from '../report/report-stream.js';
import type { AssetReport, PartReport, Report, ReportHead } from '../report/report-types.js';
import { version } from '../report/version.js';
import { plainSettings, rulesToRun, type Settings, settingsDigest } from './settings.js';

/**
 * The part of a report that is the same for all assets of a run.
 *
 * @param more What only some reports have.
 */
export function reportHead(
  settings: Settings,
  standard: string | null = null,
  part: PartReport | null = null,
  more: Pick<ReportHead, 'standardAbove' | 'transforms'> = {},
): ReportHead {
  return {
    tool: { name: 'trysquare', version },
    failing: settings.failing,
    standard,
    unit: settings.unit,
    families: familiesRun(settings),
    ...rulesRun(settings),
    // Worked out where it is written: text does without it.
    get settings() {
      return settingsDigest(plainSettings(settings));
    },
    part,
    ...more,
  };
}

/** One report of assets that were checked with the same settings, for the writers. */
export function makeReport(
  assets: readonly AssetReport[],
  settings: Settings,
  standard: string | null = null,
): Report {
  const hasMore = assets.some(({ rigs }) => rigs.some(({ clipList }) => clipList !== undefined));
  const head = reportHead(settings, standard, null, hasMore ? { transforms: true } : {});
  return { ...head, assets, partial: null, ledger: null, ...totalsOf(assets) };
}

/** The rules of a run that leaves out some of a family; nothing for one of whole families. */
function rulesRun(settings: Settings): Pick<ReportHead, 'rules'> {
  const { rules, known } = settings;
  const chosen = new Set(rules);
  const families = new Set(rules.map((rule) => rule.family));
  const isSplit = known.some((rule) => families.has(rule.family) && !chosen.has(rule));
  return isSplit ? { rules: rulesToRun(settings).map((rule) => rule.id) } : {};
}

/** The families of the rules that a run judges, in rule order. */
export function familiesRun(settings: Settings): string[] {
  return [...new Set(rulesToRun(settings).map((rule) => rule.family))];
}
