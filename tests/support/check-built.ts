import { createHash } from 'node:crypto';
import { build, mainFile } from '../../fixtures/build.js';
import type { Fault } from '../../fixtures/kit/fault.js';
import type { BuildOptions, Built } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import { clipAccessors } from '../../src/asset/clip-accessors.js';
import { loadAssetBytes } from '../../src/asset/load-asset.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import type { ApprovedAsset } from '../../src/rig/types.js';

/** Reports at the defaults, by the bytes that they are of. */
const known = new Map<string, Promise<AssetReport>>();

/**
 * Checks a built fixture at the defaults, or with some settings changed. At the defaults the same
 * bytes are checked once for all tests of a process: most faults at amount 0 are one sound puppet.
 */
export function checkBuilt(built: Built, change: Partial<Settings> = {}): Promise<AssetReport> {
  const bytes = mainFile(built);
  const settings = { ...defaultSettings(rules), ...change };
  if (Object.keys(change).length > 0) return checkAssetBytes(bytes, { settings, name: built.main });
  return checkGlb(bytes, built.main);
}

/** Checks bytes at the defaults, the same under one name once for all tests of a process. */
export function checkGlb(bytes: Uint8Array, name = 'puppet.glb'): Promise<AssetReport> {
  const key = `${name} ${createHash('sha256').update(bytes).digest('base64')}`;
  const report =
    known.get(key) ?? checkAssetBytes(bytes, { settings: defaultSettings(rules), name });
  known.set(key, report);
  return report;
}

/**
 * Checks a built fixture with a fault. Where the fault is one only beside an approved rig, that is the
 * sound puppet of the same name, built with the same options.
 */
export async function checkFault(
  { puppet, comparedWith }: Fault,
  built: Built,
  options: BuildOptions,
  change: Partial<Settings> = {},
): Promise<AssetReport> {
  if (comparedWith === undefined) return checkBuilt(built, change);
  const sound = build(puppet, { ...options, faults: [] });
  const settings = { ...defaultSettings(rules), ...change };
  const approved = await approvedOf(mainFile(sound), `approved ${sound.main}`);
  return checkAssetBytes(mainFile(built), { settings, name: built.main, approved });
}

/** An approved asset, read from memory. */
export async function approvedOf(bytes: Uint8Array, name = 'approved.glb'): Promise<ApprovedAsset> {
  const model = buildRigs(await loadAssetBytes(bytes, null, clipAccessors));
  return { name, model, clips: [{ name, ...model }] };
}

/** Findings as short lines, `level rule`, without repeats, to compare whole lists. */
export function told(report: AssetReport): string[] {
  return [...new Set(report.findings.map((finding) => `${finding.level} ${finding.rule}`))].sort();
}
