import type { Settings } from '../check/settings.js';
import type { Facts } from '../measure/facts.js';
import type { FindingReport } from '../report/report-types.js';
import type { Rig, RigModel } from '../rig/types.js';
import type { Editable } from './editable.js';

/** What a repair is handed. */
export interface MendContext {
  readonly edit: Editable;
  /** The asset as it stands before this repair; indices of nodes, skins and meshes are those of `edit.json`. */
  readonly model: RigModel;
  facts(rig: Rig): Facts;
  /** What was found by the rules that it answers, as the asset stands. */
  readonly findings: readonly FindingReport[];
  readonly settings: Settings;
}

/** One thing that was changed, for the plan that people read. */
export interface Change {
  readonly rule: string;
  /** Path of the joint, or name of the mesh, clip or rig. */
  readonly place: string;
  /** In a few words, with numbers and units. */
  readonly before: string;
  readonly after: string;
}

/** A finding that is left alone, and why. */
export interface LeftAlone {
  readonly rule: string;
  readonly place: string;
  readonly why: string;
}

export interface Mended {
  readonly changes: readonly Change[];
  readonly left: readonly LeftAlone[];
}

/**
 * One kind of repair. It changes how the rig is stored through `edit`, never what is seen: what it
 * does is proved afterwards. It throws nothing for what a file holds, but leaves alone what it cannot
 * mend exactly.
 */
export interface Repair {
  readonly name: string;
  /** Rules whose findings it answers. */
  readonly rules: readonly string[];
  mend(context: MendContext): Mended;
}
