import { rules } from '../../rules/index.js';
import { reportRigs } from '../../src/check/build-report.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { Editable } from '../../src/mend/file/editable.js';
import { looksOf } from '../../src/mend/proof/looks.js';
import { proveSame } from '../../src/mend/proof/proof.js';
import { reload } from '../../src/mend/proof/reload.js';
import type { MendContext, Mended, Repair } from '../../src/mend/repair.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import { PLAIN } from './run-repair.js';

const settings = defaultSettings(rules);

/** What one repair did to one asset, once. */
export interface Applied extends Mended {
  readonly bytes: Uint8Array;
  /** The largest that a vertex moved, share of size. */
  readonly shift: number;
}

export async function applyRepair(
  bytes: Uint8Array,
  repair: Repair,
  asked: Partial<Pick<MendContext, 'allow' | 'resample' | 'restFrom'>> = {},
): Promise<Applied> {
  const edit = await Editable.fromBytes(bytes);
  const asset = await reload(edit.files(), null);
  const model = buildRigs(asset);
  const findings = reportRigs(model, settings).findings.filter(({ rule }) =>
    repair.rules.includes(rule),
  );
  const facts = (rig: (typeof model.rigs)[number]) => ({ rig, wanted: settings.wanted });
  const mended = repair.mend({
    edit,
    model,
    facts,
    findings,
    settings,
    ...PLAIN,
    looks: looksOf(asset, model),
    ...asked,
  });
  const { main } = edit.files();
  const after = buildRigs(await reload(edit.files(), null));
  return { ...mended, bytes: main, shift: proveSame(model, after).share };
}

/** Rule and place of all that a check finds. */
export async function findingsOf(bytes: Uint8Array): Promise<string[]> {
  const report = await checkAssetBytes(bytes, { settings });
  if (report.unreadable !== null) throw new Error(report.unreadable.reason);
  return report.findings.map(({ rule, place }) => `${rule} ${place.name}`).sort();
}
