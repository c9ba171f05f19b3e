import { mainFile } from '../../fixtures/build.js';
import type { Built } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';

/** Checks a built fixture at the defaults, or with some settings changed. */
export function checkBuilt(built: Built, change: Partial<Settings> = {}): Promise<AssetReport> {
  const settings = { ...defaultSettings(rules), ...change };
  return checkAssetBytes(mainFile(built), { settings, name: built.main });
}

/** Findings as short lines, `level rule`, without repeats, to compare whole lists. */
export function told(report: AssetReport): string[] {
  return [...new Set(report.findings.map((finding) => `${finding.level} ${finding.rule}`))].sort();
}
