import { createHash } from 'node:crypto';
import { reportContainer } from '../check/build-report.js';
import { type Settings, settledWith } from '../check/settings.js';
import type { WantedOfRig } from '../measure/facts.js';
import type { AssetReport } from '../report/report-types.js';
import { buildRigs } from '../rig/build-rigs.js';
import type { Editable } from './file/editable.js';
import type { Files } from './file/pack-files.js';
import type { Progress } from './progress.js';
import { looksOf } from './proof/looks.js';
import { type Proof, proveSame } from './proof/proof.js';
import { reload } from './proof/reload.js';

/** The asset at one moment of a mend, read as a check would read it. */
export type Reading = Awaited<ReturnType<typeof read>>;

/** As many are kept: of a mend that goes on for longer, the last. */
const MOST_KEPT = 24;

/**
 * All that was read and proved while one asset is mended. A mend that leaves something out runs again, and up
 * to where it does that it comes by the same files.
 */
export class Readings {
  private readonly byState = new Map<string, Reading>();
  private readonly narrowed = new Map<string, Settings>();
  private readonly proofs = new Map<string, Proof>();

  constructor(private readonly progress: Progress) {}

  /** What an edit has come to; the reading that was made before where the files are the same. */
  async of(edit: Editable, folder: string): Promise<Reading> {
    const files = edit.files();
    const state = digestOf(files);
    const known = this.byState.get(state);
    if (known !== undefined) return known;
    const reading = await read(files, folder, state);
    const [oldest] = this.byState.keys();
    if (this.byState.size >= MOST_KEPT && oldest !== undefined) this.byState.delete(oldest);
    this.byState.set(state, reading);
    return reading;
  }

  /** The settings that judge these rules alone: always the same object, since reports are kept by it. */
  settingsFor(settings: Settings, answered: readonly string[]): Settings {
    const key = answered.join(' ');
    const known = this.narrowed.get(key);
    if (known !== undefined) return known;
    const rules = settledWith(settings.rules, answered);
    const motion = settings.motion && rules.some(({ onRequest }) => onRequest);
    const made = { ...settings, rules, motion };
    this.narrowed.set(key, made);
    return made;
  }

  /** Of all that is seen of what was done between two readings. */
  proof(before: Reading, after: Reading, wanted: WantedOfRig): Proof {
    const key = `${before.state} ${after.state}`;
    const known = this.proofs.get(key);
    if (known !== undefined) return known;
    const looks = [before.looks, after.looks] as const;
    const proof = proveSame(before.model, after.model, looks, wanted, (share) =>
      this.progress.tell(share),
    );
    this.proofs.set(key, proof);
    return proof;
  }
}

async function read(files: Files, folder: string, state: string) {
  const asset = await reload(files, folder);
  const model = buildRigs(asset);
  const reports = new Map<Settings, AssetReport>();
  const container = reportContainer(asset, null);
  return { model, looks: looksOf(asset, model), container, reports, state };
}

function digestOf({ main, buffers }: Files): string {
  const hash = createHash('sha1').update(main);
  for (const bytes of buffers.values()) hash.update(bytes);
  return hash.digest('hex');
}
