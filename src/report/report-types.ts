import type { Evidence, Level } from '../kit/finding.js';
import type { Vec3 } from '../rig/vec3.js';
import type { LedgerReport } from './ledger-report.js';
import type { ClipReport, JointTransforms } from './transforms-report.js';

/** What one run found. Every format is written from this and computes nothing. */
export interface Report extends ReportHead, ReportEnd {
  /** In path order. */
  readonly assets: readonly AssetReport[];
}

/** What is known before the first asset is checked. */
export interface ReportHead {
  readonly tool: { readonly name: string; readonly version: string };
  /** Findings at this level or above make an asset unsound; `never` makes none so. */
  readonly failing: Level | 'never';
  /** The standard file used, as given, or null. */
  readonly standard: string | null;
  /** Those in folders above that it takes from, the nearest first; absent where there are none. */
  readonly standardAbove?: readonly string[];
  /** Unit that lengths are given in. */
  readonly unit: string;
  /** Families of rules that were run, in rule order. */
  readonly families: readonly string[];
  /** Ids of the rules that were run, where only some of a family were asked for. */
  readonly rules?: readonly string[];
  /** Digest of all that decides what is found, in hexadecimal: rules, levels, limits, conventions. */
  readonly settings: string;
  /** Whether joints have their transforms, and rigs a list of their clips; absent where they have not. */
  readonly transforms?: true;
  /** Which share of a list was checked; null for all of it. */
  readonly part: PartReport | null;
}

/** What is known once the last asset is checked. */
export interface ReportEnd {
  /** How far a run came that was stopped before its end; null for one that was not. */
  readonly partial: { readonly checked: number; readonly of: number } | null;
  /** What the waivers did; null when there is no ledger. */
  readonly ledger: LedgerReport | null;
  readonly totals: Totals;
  /** The worst of the assets'; null for no asset, or for a stopped run with none at fault until then. */
  readonly verdict: Verdict | null;
}

export interface Totals {
  readonly assets: number;
  readonly verdicts: Readonly<Record<Verdict, number>>;
  /** Findings that nobody waived. */
  readonly counts: Readonly<Record<Level, number>>;
}

/** A share of a list, with what shows that two shares are of the same list. */
export interface PartReport {
  /** From 1 on. */
  readonly index: number;
  readonly of: number;
  /** Digest of all paths of the whole list, in hexadecimal. */
  readonly list: string;
  /** How many paths the whole list has. */
  readonly total: number;
}

/**
 * From the worst on: unreadable, unsound, sound. An asset without a rig has nothing to judge, unless it is
 * unsound for what is asked of the file itself, or its clips are compared: nobody should read it as passed.
 */
export type Verdict = 'sound' | 'unsound' | 'unreadable' | 'nothing to judge';

/** A standard that holds for some assets of a run and not for all. */
export interface AssetStandard {
  /** As it would be named from the folder of the run, with forward slashes. */
  readonly path: string;
  /** Those in folders above that it takes from, the nearest first; absent where there are none. */
  readonly above?: readonly string[];
  /** Findings at this level or above make the asset unsound; `never` makes none so. */
  readonly failing: Level | 'never';
  /** Unit that lengths of the asset are given in. */
  readonly unit: string;
  /** As `ReportHead.settings`. */
  readonly settings: string;
}

export interface AssetReport {
  /** As given or found, with forward slashes; `-` for standard input. */
  readonly path: string;
  /** The standard that is nearest to it; absent where that is the one of the run. */
  readonly standard?: AssetStandard;
  readonly verdict: Verdict;
  /** The asset that it has to fit, as given; absent where it is compared with none. */
  readonly approved?: string;
  /** How much of a file that is compared by its clips alone was asked; absent of any other. */
  readonly asked?: { readonly clips: number; readonly channels: number };
  /** Why it could not be read; null when it could. */
  readonly unreadable: { readonly reason: string; readonly where: string | null } | null;
  readonly container: ContainerReport | null;
  readonly rigs: readonly RigReport[];
  /** In rig, joint and rule order. */
  readonly findings: readonly FindingReport[];
  readonly counts: Readonly<Record<Level, number>>;
  /** Rules of the house's own that failed; what the others found stands. Absent where none did. */
  readonly failed?: readonly FailedRuleReport[];
}

/** A rule that could not judge, for a fault of its own. */
export interface FailedRuleReport {
  readonly rule: string;
  /** Index of the rig that it failed on; null for the asset as a whole. */
  readonly rig: number | null;
  /** The module that it comes from, as given; null where it comes from none. */
  readonly module: string | null;
  /** What went wrong, in the words of its error. */
  readonly reason: string;
}

/** What a reader needs to point into the file. */
export interface ContainerReport {
  readonly kind: 'glb' | 'gltf';
  readonly bytes: number;
  /** Of the whole file; null when the run did not hash it. */
  readonly sha256: string | null;
  /** Byte range of the JSON. */
  readonly json: { readonly offset: number; readonly length: number };
}

export interface RigReport {
  readonly index: number;
  readonly name: string;
  readonly joints: readonly JointReport[];
  readonly skins: number;
  readonly vertices: number;
  readonly triangles: number;
  readonly clips: number;
  /** Diagonal of the bind-posed mesh, in `Report.unit`. */
  readonly size: number;
  readonly conventions: ConventionsReport;
  /** Joint index of the body root, or null. */
  readonly bodyRoot: number | null;
  /** Whether it is the hips of the asset's humanoid mapping. */
  readonly bodyRootMapped: boolean;
  /** Each joint that bends skin in its worst direction, the worst joint first; null when none was tried. */
  readonly bends: readonly BendReport[] | null;
  /** What each rule was measured on, in rule order, rules without a finding included. */
  readonly measured: readonly MeasuredReport[];
  /** The approved rig that it was compared with: null where there is none for it, absent where nothing was compared. */
  readonly approved?: PairReport | null;
  /** The clips that pose it; absent when they were not asked for. */
  readonly clipList?: readonly ClipReport[];
}

/** A rig of the approved asset, and why a rig was compared with that one. */
export interface PairReport {
  readonly name: string;
  /**
   * Each asset has but the `only` one; they share most names of `joints`. Of several that share as many,
   * the one of the same `name`, the `larger`, or the first in `order`. Without names, the `count` of joints.
   */
  readonly by: 'only' | 'joints' | 'name' | 'larger' | 'order' | 'count';
  /** Joints of the rig whose names the approved one has. */
  readonly shared: number;
  /** How many clips were played on both; absent where none were asked. */
  readonly played?: number;
}

export interface ConventionsReport {
  readonly frames: 'aimed' | 'world-aligned' | 'mixed' | 'unknown';
  readonly source: 'standard' | 'vote';
  /** Signed axes such as `+X`; null where the rig shows none. */
  readonly aim: Readonly<Record<'middle' | 'left' | 'right', string>> | null;
  readonly up: string | null;
  /** Whether the up axis was asked for or seen on level bones. */
  readonly upKnown: boolean;
  readonly votes: number;
  readonly voters: number;
  readonly mirror: string | null;
  readonly mirrorAgree: number;
  readonly mirrorPairs: number;
  readonly pairs: Readonly<Record<'byMapping' | 'byName' | 'byPlace', number>>;
  readonly symmetric: boolean;
}

/** What skin does when a joint is turned by 60 degrees, in the direction that harms it most. */
export interface BendReport {
  /** Index in `RigReport.joints`. */
  readonly joint: number;
  /** Axis the joint was turned about, right-handed, in the rig's conventions: `+up`, `-side`. */
  readonly axis: string;
  /** Volume after against before, 1 for all; null where the skin has no volume. */
  readonly volumeKept: number | null;
  /** Triangles that change their shape. */
  readonly triangles: number;
  /** Those of them that turn inside out. */
  readonly inverted: number;
  /** Largest length of an edge after the bend divided by its length before. */
  readonly stretch: number;
}

export interface JointReport {
  readonly name: string;
  /** Names from the topmost joint down; the joint's identity across exports. */
  readonly path: string;
  /** Index in this list, -1 at the top. */
  readonly parent: number;
  /** Node index in the file. */
  readonly node: number;
  /** Place in the bind pose, world space. */
  readonly place: Vec3;
  readonly movesSkin: boolean;
  /** Share of the rig's skin that hangs on it: weighted area, 0 to 1. */
  readonly skinShare: number;
  /** Absent when they were not asked for. */
  readonly transforms?: JointTransforms;
}

export type MeasuredReport =
  | {
      readonly rule: string;
      readonly kind: 'judged';
      readonly looked: number;
      readonly short: number;
      /** Those that would have fallen short too, but whose fault another rule reports. */
      readonly elsewhere: number;
      readonly of: string;
    }
  | { readonly rule: string; readonly kind: 'not applicable'; readonly because: string };

export interface FindingReport {
  readonly rule: string;
  readonly level: Level;
  /** Index of the rig, null for a finding about the asset. */
  readonly rig: number | null;
  /** The same after every export, unique in the asset: of rule, rig name, anchor and aspect. */
  readonly identity: string;
  /** What identifies it: its place, or the rig or limb where it reports several places as one. */
  readonly anchor: AnchorReport;
  /** Which of its faults the rule reports; null where it reports one of an anchor. */
  readonly aspect: string | null;
  /** Where it shows worst. */
  readonly place: PlaceReport;
  /** All that is at fault, in order, `place` among them: several where one finding reports them as one. */
  readonly places: readonly FaultPlaceReport[];
  /** What was measured, the limit, and what to do, in that order: three sentences or fewer. */
  readonly message: string;
  readonly remedy: string;
  readonly measured: number | null;
  readonly limit: number | null;
  readonly unit: string;
  /** Other measures of it that are past a limit, each in another unit; absent if there are none. */
  readonly also?: readonly { readonly measured: number; readonly unit: string }[];
  /** How many things were looked at, and how many of them fell short: of the finding, else of its rule. */
  readonly counts: { readonly looked: number; readonly short: number } | null;
  readonly vertices: readonly number[];
  /** What the fault leads to, in the words of rules that stepped back for it. */
  readonly consequences: readonly string[];
  /** Ids of the rules that found fault there too and stepped back for it, sorted; absent for none. */
  readonly insteadOf?: readonly string[];
  readonly evidence: readonly EvidenceReport[];
  /** Who waived the finding, why and until when; absent when nobody did. */
  readonly waived?: WaiverReport;
  /** Why it counts though a waiver is about it, as sentences: it is more than was accepted. Absent for none. */
  readonly beyond?: readonly string[];
}

export interface WaiverReport {
  readonly by: string;
  readonly why: string;
  /** Last day on which it applies, as `YYYY-MM-DD`; null when it has no end. */
  readonly until: string | null;
}

export interface PlaceReport {
  readonly kind: 'joint' | 'node' | 'mesh' | 'skin' | 'rig' | 'asset';
  readonly name: string;
  /** The same across exports: names only, never an index. */
  readonly path: string;
  /** Index in `RigReport.joints`, for a joint. */
  readonly joint: number | null;
  /** Node index in the file, where there is one. */
  readonly node: number | null;
  /** JSON pointer into the file's JSON. */
  readonly pointer: string;
}

export type AnchorReport = Pick<PlaceReport, 'kind' | 'path'>;

export interface FaultPlaceReport extends PlaceReport {
  /** How bad it is there, in the unit of the finding; absent where all places are measured as one. */
  readonly measured?: number;
}

export type EvidenceReport = Evidence;
