import type { AssetReport, AssetStandard, ReportHead } from './report-types.js';

/** What an asset was checked against: the standard nearest to it, else that of the run. */
export function termsOf({ standard: own }: AssetReport, { standard, unit, failing }: Terms): Terms {
  if (own === undefined) return { standard, unit, failing };
  return { standard: own.path, unit: own.unit, failing: own.failing };
}

type Terms = Pick<ReportHead, 'standard'> & Pick<AssetStandard, 'unit' | 'failing'>;
