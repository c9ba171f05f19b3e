import type { Settings } from '../check/settings.js';
import type { Facts } from '../measure/facts.js';
import type { FindingReport } from '../report/report-types.js';
import type { Rig, RigModel } from '../rig/types.js';
import type { Editable } from './file/editable.js';
import type { Looks } from './proof/looks.js';

/** What a repair is handed. */
export interface MendContext {
  readonly edit: Editable;
  /** The asset before this repair; indices of nodes, skins and meshes are those of `edit.json`. */
  readonly model: RigModel;
  facts(rig: Rig): Facts;
  /** The present findings of the rules that it answers. */
  readonly findings: readonly FindingReport[];
  readonly settings: Settings;
  /** Rules whose mends may change what is seen. */
  readonly allow: ReadonlySet<string>;
  /** Whether curves may be sampled as near as they come, where nothing is exact: what is seen then changes. */
  readonly resample: boolean;
  /** Which pose is the truth where the stored pose is not the bind pose; null where nobody said. */
  readonly restFrom: 'bind' | 'pose' | null;
  /** Normals and morph targets; null where they were not read. */
  readonly looks: Looks | null;
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
  /** Rules for which it changed what is seen, as was allowed; left out where all its changes may show. */
  readonly seen?: readonly string[];
  /** Whether clips look as they did even where something is seen. */
  readonly keepsClips?: boolean;
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
  /** What it does, for people who choose. */
  readonly tells: string;
  /** Rules whose findings it answers. */
  readonly rules: readonly string[];
  /** Whether it changes the joint tree, the list of joints or names, and is only made when asked. */
  readonly isBold?: boolean;
  /** Rules whose findings are left alone where this is asked for: mends of both would undo each other. */
  readonly overrules?: readonly string[];
  mend(context: MendContext): Mended;
}
