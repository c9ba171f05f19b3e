import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import type { Facts } from '../../src/measure/facts.js';
import { Editable } from '../../src/mend/file/editable.js';
import { proveSame } from '../../src/mend/proof/proof.js';
import type { Mended, Repair } from '../../src/mend/repair.js';
import type { Rig, RigModel } from '../../src/rig/types.js';
import { checkGlb } from '../support/check-built.js';
import { modelOf } from '../support/facts-of.js';

/** What one repair made of an asset. */
export interface Repaired extends Mended {
  readonly bytes: Uint8Array;
  readonly before: RigModel;
  readonly after: RigModel;
  /** Findings of the repair's rules, before and after, as `rule` in order. */
  readonly found: readonly string[];
  readonly remaining: readonly string[];
  /** Findings of all rules that were not there before, as `rule`. */
  readonly added: readonly string[];
  /** Largest move of any vertex in any pose, as the proof has it. Share of size. */
  readonly moved: number;
}

/** What a repair is handed where the user asked for nothing but the repair. */
export const PLAIN = {
  allow: new Set<string>(),
  resample: false,
  restFrom: null,
  looks: null,
} as const;

/** Runs one repair on a GLB, as a mend would, and checks what comes out. */
export async function runRepair(
  repair: Repair,
  bytes: Uint8Array,
  change: Partial<Settings> = {},
): Promise<Repaired> {
  const settings = { ...defaultSettings(rules), ...change };
  const check = async (asset: Uint8Array) => {
    const isPlain = Object.keys(change).length === 0;
    const report = await (isPlain ? checkGlb(asset) : checkAssetBytes(asset, { settings }));
    if (report.unreadable !== null) throw new Error(report.unreadable.reason);
    return report.findings;
  };
  const [edit, model, all] = [
    await Editable.fromBytes(bytes),
    await modelOf(bytes),
    await check(bytes),
  ];
  const own = all.filter(({ rule }) => repair.rules.includes(rule));
  const facts = (rig: Rig): Facts => ({ rig, wanted: settings.wanted });
  const mended = repair.mend({ edit, model, facts, findings: own, settings, ...PLAIN });
  const { main } = edit.files();
  const after = await modelOf(main);
  const now = await check(main);
  const had = new Set(all.map(({ rule }) => rule));
  return {
    ...mended,
    bytes: main,
    before: model,
    after,
    found: own.map(({ rule }) => rule),
    remaining: now.flatMap(({ rule }) => (repair.rules.includes(rule) ? [rule] : [])),
    added: now.flatMap(({ rule }) => (had.has(rule) ? [] : [rule])),
    moved: proveSame(model, after).share,
  };
}
