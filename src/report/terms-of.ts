import type { AssetReport, AssetStandard, ReportHead } from './report-types.js';

/** What an asset was checked against: the standard nearest to it, else that of the run. */
export function termsOf(
  { standard: own }: AssetReport,
  { standard, standardAbove = [], unit, failing }: Given,
): Terms {
  if (own === undefined) return { standard, above: standardAbove, unit, failing };
  const { path, above = [], ...terms } = own;
  return { standard: path, above, unit: terms.unit, failing: terms.failing };
}

type Given = Pick<ReportHead, 'standard' | 'standardAbove'> &
  Pick<AssetStandard, 'unit' | 'failing'>;

interface Terms extends Pick<ReportHead, 'standard'>, Pick<AssetStandard, 'unit' | 'failing'> {
  /** Those that the standard takes from, the nearest first. */
  readonly above: readonly string[];
}
