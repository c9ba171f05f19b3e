import { AssetError } from '../asset/errors.js';
import { reportContainer, reportRigs } from '../check/build-report.js';
import { type Settings, settledWith } from '../check/settings.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';
import { buildRigs } from '../rig/build-rigs.js';
import type { RigModel } from '../rig/types.js';
import type { AllowedChange } from './allowed-change.js';
import type { Editable } from './file/editable.js';
import { type Looks, looksOf } from './proof/looks.js';
import { isSeen, type Proof, proveSame } from './proof/proof.js';
import { summed } from './proof/proof-seen.js';
import { reload } from './proof/reload.js';
import { type RigRenames, renamesOf } from './renames.js';
import type { Change, LeftAlone, Mended } from './repair.js';

/** A repair that changes what is seen. */
export interface Offence {
  readonly repair: string;
  /** Rules whose findings it answered. */
  readonly rules: readonly string[];
  readonly proof: Proof;
}

/** The asset as it stands at one moment of a mend, read as a check would read it. */
interface Standing {
  readonly model: RigModel;
  readonly looks: Looks;
  readonly container: AssetReport['container'];
}

interface Terms {
  /** Name of the asset in the reports. */
  readonly name: string;
  readonly settings: Settings;
  /** Rules that the repairs answer. */
  readonly answered: readonly string[];
  /** Rules whose repairs may change what is seen. */
  readonly allow: readonly string[];
  /** Marks what is waived. */
  readonly judge: (report: AssetReport, renames: readonly RigRenames[]) => AssetReport;
}

/** A mend under way: each step is read again, proved, and added up. */
export class Mending {
  readonly original: Standing;
  present: Standing;
  readonly changes: Change[] = [];
  readonly allowed: AllowedChange[] = [];
  /** What the steps that nobody can see come to at most, those that were allowed to show apart. */
  hidden: Pick<Proof, 'share' | 'turn'> = { share: 0, turn: 0 };
  private left: LeftAlone[] = [];
  private readonly edit: Editable;
  private readonly folder: string;
  private readonly terms: Terms;
  /** Of single steps; together they mostly tell of the whole. */
  private readonly proofs: Proof[] = [];
  private readonly reports = new Map<Standing, AssetReport>();
  private readonly between = new Map<Standing, readonly FindingReport[]>();
  private readonly ofRepairs: Settings;
  private whole: { readonly of: Standing; readonly proof: Proof } | null = null;

  private constructor(edit: Editable, folder: string, terms: Terms, original: Standing) {
    this.edit = edit;
    this.folder = folder;
    this.terms = terms;
    const { settings, answered } = terms;
    const rules = settledWith(settings.rules, answered);
    const motion = settings.motion && rules.some(({ onRequest }) => onRequest);
    this.ofRepairs = { ...settings, rules, motion };
    this.original = original;
    this.present = original;
  }

  static async begin(edit: Editable, folder: string, terms: Terms): Promise<Mending> {
    return new Mending(edit, folder, terms, await standing(edit, folder));
  }

  /** Takes in what a repair did to the file. Gives back how it shows, where it does and may not. */
  async step(repair: string, { changes, left, seen, keepsClips }: Mended): Promise<Offence | null> {
    for (const item of left) this.left.push(item);
    if (changes.length === 0) return null;
    for (const item of changes) this.changes.push(item);
    const former = this.present;
    this.present = await this.readAgain(repair);
    const proof = prove(former, this.present, this.terms);
    this.proofs.push(proof);
    if (!isSeen(proof)) {
      this.hidden = {
        share: this.hidden.share + proof.share,
        turn: this.hidden.turn + proof.turn,
      };
      return null;
    }
    const rules = seen ?? [...new Set(changes.map(({ rule }) => rule))].sort();
    const { allow } = this.terms;
    const isAllowed =
      rules.length > 0 &&
      rules.every((rule) => allow.includes(rule)) &&
      // A mesh without a place is no change of it that anybody could want.
      Number.isFinite(proof.share);
    if (!isAllowed || (keepsClips === true && isSeen(proof.clips))) return { repair, rules, proof };
    this.allow(rules, proof);
    return null;
  }

  /** Nobody finds in a file what only a repair would put there. */
  private async readAgain(repair: string): Promise<Standing> {
    try {
      return await standing(this.edit, this.folder);
    } catch (error) {
      if (!(error instanceof AssetError)) throw error;
      const why = `the file that this mend (${repair}) makes could not be read: ${error.reason}`;
      throw new AssetError(why, error.where);
    }
  }

  /** What the same rules changed in several steps is told as one, by the most that it can come to. */
  private allow(rules: readonly string[], { share, turn }: Proof): void {
    const key = rules.join();
    const at = this.allowed.findIndex((item) => item.rules.join() === key);
    const earlier = this.allowed[at];
    const change = {
      rules,
      percentOfSize: rounded(100 * share + (earlier?.percentOfSize ?? 0)),
      // A normal can lose its direction altogether, which JSON has no number for.
      degrees: rounded(Math.min(MOST_TURN, turn + (earlier?.degrees ?? 0))),
    };
    if (earlier === undefined) this.allowed.push(change);
    else this.allowed[at] = change;
  }

  leave(left: readonly LeftAlone[]): void {
    for (const item of left) this.left.push(item);
  }

  /** A new round tells anew what it leaves alone. */
  forgetLeft(): void {
    this.left = [];
  }

  /**
   * What a repair has to know of the asset as it stands. Between the reports before and after only
   * the rules are judged that can change it: the others take half of a step's time.
   */
  findings(): readonly FindingReport[] {
    const at = this.present;
    if (at === this.original) return this.report(at).findings;
    const made = this.between.get(at) ?? this.judged(at, this.ofRepairs).findings;
    this.between.set(at, made);
    return made;
  }

  private report(of: Standing): AssetReport {
    const known = this.reports.get(of);
    if (known !== undefined) return known;
    const made = this.judged(of, this.terms.settings);
    this.reports.set(of, made);
    return made;
  }

  private judged(of: Standing, settings: Settings): AssetReport {
    const { name, judge } = this.terms;
    const { model, container } = of;
    const renames = of === this.original ? [] : renamesOf(this.original.model, model);
    const report = { path: name, unreadable: null, container, ...reportRigs(model, settings) };
    return judge(report, renames);
  }

  outcome(): {
    before: AssetReport;
    after: AssetReport;
    changes: readonly Change[];
    left: readonly LeftAlone[];
    allowed: readonly AllowedChange[];
    proof: Proof;
  } {
    const { changes, left, allowed } = this;
    const [before, after] = [this.report(this.original), this.report(this.present)];
    return { before, after, changes, left, allowed, proof: this.proof() };
  }

  /** Of the whole mend so far. */
  private proof(): Proof {
    const ofSteps = summed(this.proofs);
    if (ofSteps !== null && (this.proofs.length === 1 || !isSeen(ofSteps))) return ofSteps;
    if (this.whole?.of !== this.present)
      this.whole = { of: this.present, proof: prove(this.original, this.present, this.terms) };
    return this.whole.proof;
  }
}

/** No two directions are farther apart. Degrees. */
const MOST_TURN = 180;

function rounded(value: number): number {
  return Number(value.toPrecision(3));
}

async function standing(edit: Editable, folder: string): Promise<Standing> {
  const asset = await reload(edit.files(), folder);
  const model = buildRigs(asset);
  return { model, looks: looksOf(asset, model), container: reportContainer(asset, null) };
}

function prove(before: Standing, after: Standing, { settings }: Terms): Proof {
  return proveSame(before.model, after.model, [before.looks, after.looks], settings.wanted);
}
