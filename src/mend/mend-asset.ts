import { dirname } from 'node:path';
import { AssetError } from '../asset/errors.js';
import { reportContainer, reportRigs } from '../check/build-report.js';
import type { Settings } from '../check/settings.js';
import type { Axis, Facts } from '../measure/facts.js';
import type { AssetReport } from '../report/report-types.js';
import { buildRigs } from '../rig/build-rigs.js';
import type { Rig, RigModel } from '../rig/types.js';
import { Editable, reload } from './editable.js';
import type { Files } from './pack-files.js';
import { type Proof, proveSame } from './proof.js';
import type { Change, LeftAlone, Repair } from './repair.js';
import { turnToConvention } from './repairs/convention.js';
import { renameMap } from './repairs/names.js';

/** A mend that moves anything by more is not written. Share of the rig's size: what float32 leaves. */
export const LARGEST_SHIFT = 1e-5;

/** What a mend did, and the proof that nothing is seen of it. */
export interface MendResult {
  readonly before: AssetReport;
  readonly after: AssetReport;
  readonly changes: readonly Change[];
  readonly left: readonly LeftAlone[];
  /** Of the whole mend. */
  readonly proof: Proof;
  /** The repair that changes what is seen; null when none does. Nothing is to be written then. */
  readonly offending: { readonly repair: string; readonly proof: Proof } | null;
  /** What to write. */
  readonly files: Files;
  /** Paths of joints that were renamed, old to new. */
  readonly renamed: ReadonlyMap<string, string>;
  /** All files beside it that the original leads to. */
  readonly led: readonly string[];
  /** Files that it still leads to, which lie beside the original. */
  readonly externals: readonly string[];
}

export interface MendOptions {
  /** Name of the asset in the reports. */
  readonly name?: string;
  /** Name, without its ending, for buffers in files of their own that change; null for the name they have. */
  readonly stem?: string | null;
  /** Rules to mend what they find; null for all that can be. */
  readonly only?: readonly string[] | null;
  /** Also turn whole rigs to this convention. */
  readonly convention?: { readonly aim: Axis; readonly up: Axis } | null;
}

/** Extensions that point into the frames of joints, which repairs do not carry along. */
const POINTING = [
  'KHR_animation_pointer',
  'VRMC_springBone',
  'VRMC_node_constraint',
  'VRMC_vrm',
  'VRM',
];

/** Rounds of all repairs: what one of them mends can show the next what to do. */
const ROUNDS = 8;

/**
 * Mends what can be mended exactly in one asset.
 *
 * @param repairs In the order they are to be applied.
 * @throws AssetError when the asset cannot be read, or carries what a mend would break.
 */
export async function mendAsset(
  path: string,
  settings: Settings,
  repairs: readonly Repair[],
  { name = path, only = null, convention = null, stem = null }: MendOptions = {},
): Promise<MendResult> {
  const folder = dirname(path);
  const edit = await Editable.open(path);
  const pointing = POINTING.find((name) => edit.json.extensionsUsed?.includes(name));
  if (pointing !== undefined)
    throw new AssetError(
      `it uses ${pointing}, which points into the frames of joints; a mend does not carry that along`,
    );
  const original = await modelOf(edit, folder);
  // Proofs of single steps; a lone one is that of the whole.
  const proofs: Proof[] = [];
  const before = report(name, original, settings);
  const changes: Change[] = [];
  let left: readonly LeftAlone[] = [];
  let present = original;
  if (convention !== null) {
    const { model } = present;
    const turned = turnToConvention({ edit, model }, convention.aim, convention.up);
    changes.push(...turned.changes);
    present = await modelOf(edit, folder);
    const proof = proveSame(model, present.model);
    proofs.push(proof);
    if (turned.left.length > 0 || proof.share > LARGEST_SHIFT)
      return {
        before,
        after: report(name, present, settings),
        changes,
        left: turned.left,
        proof,
        offending: proof.share > LARGEST_SHIFT ? { repair: 'convention', proof } : null,
        ...written(edit, stem),
        renamed: renamedIn(original.model, present.model),
      };
  }
  for (let round = 0; round < ROUNDS; round++) {
    const told: LeftAlone[] = [];
    let changed = false;
    for (const repair of repairs) {
      const facts = (rig: Rig): Facts => ({ rig, wanted: settings.wanted });
      const findings = report(name, present, settings).findings.filter(
        ({ rule }) => repair.rules.includes(rule) && only?.includes(rule) !== false,
      );
      if (findings.length === 0) continue;
      const model = present.model;
      const own = repair.mend({ edit, model, facts, findings, settings });
      told.push(...own.left);
      if (own.changes.length === 0) continue;
      changed = true;
      changes.push(...own.changes);
      present = await modelOf(edit, folder);
      const proof = proveSame(model, present.model);
      proofs.push(proof);
      if (proof.share > LARGEST_SHIFT)
        return {
          before,
          after: report(name, present, settings),
          changes,
          left: told,
          proof: proveSame(original.model, present.model),
          offending: { repair: repair.name, proof },
          ...written(edit, stem),
          renamed: renamedIn(original.model, present.model),
        };
    }
    left = told;
    if (!changed) break;
  }
  const [single] = proofs;
  const proof =
    proofs.length === 1 && single !== undefined ? single : proveSame(original.model, present.model);
  return {
    before,
    after: report(name, present, settings),
    changes,
    left,
    proof,
    // Steps that each show nothing could show together.
    offending: proof.share > LARGEST_SHIFT ? { repair: 'all of them together', proof } : null,
    ...written(edit, stem),
    renamed: renamedIn(original.model, present.model),
  };
}

/** Names of all rigs at once; a path of one rig that another has too is the same joint's in both. */
function renamedIn(before: RigModel, after: RigModel): Map<string, string> {
  return new Map(
    before.rigs.flatMap((rig, index) => {
      const other = after.rigs[index];
      return other === undefined ? [] : [...renameMap(rig, other)];
    }),
  );
}

function written(
  edit: Editable,
  stem: string | null,
): Pick<MendResult, 'files' | 'externals' | 'led'> {
  return { files: edit.files(stem), externals: edit.externals(), led: edit.led };
}

type Loaded = Awaited<ReturnType<typeof modelOf>>;

/** The asset as it stands, read as a check would read it. */
async function modelOf(
  edit: Editable,
  folder: string,
): Promise<{ readonly model: RigModel; readonly container: AssetReport['container'] }> {
  const asset = await reload(edit.files(), folder);
  return { model: buildRigs(asset), container: reportContainer(asset, null) };
}

/** The report of the asset as it stands, which every repair asks for. */
function report(path: string, loaded: Loaded, settings: Settings): AssetReport {
  const known = reports.get(loaded);
  if (known !== undefined) return known;
  const { model, container } = loaded;
  const made = { path, unreadable: null, container, ...reportRigs(model, settings) };
  reports.set(loaded, made);
  return made;
}

const reports = new WeakMap<Loaded, AssetReport>();
