import { createHash } from 'node:crypto';
import { mainFile } from '../../fixtures/build.js';
import type { Built } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';

/** Reports at the defaults, by the bytes that they are of. */
const known = new Map<string, Promise<AssetReport>>();

/**
 * Checks a built fixture at the defaults, or with some settings changed. At the defaults the same
 * bytes are checked once for all tests of a process: most faults at amount 0 are one sound puppet.
 */
export function checkBuilt(built: Built, change: Partial<Settings> = {}): Promise<AssetReport> {
  const bytes = mainFile(built);
  const settings = { ...defaultSettings(rules), ...change };
  const check = () => checkAssetBytes(bytes, { settings, name: built.main });
  if (Object.keys(change).length > 0) return check();
  const key = `${built.main} ${createHash('sha256').update(bytes).digest('base64')}`;
  const report = known.get(key) ?? check();
  known.set(key, report);
  return report;
}

/** Findings as short lines, `level rule`, without repeats, to compare whole lists. */
export function told(report: AssetReport): string[] {
  return [...new Set(report.findings.map((finding) => `${finding.level} ${finding.rule}`))].sort();
}
