import { AssetError } from '../asset/errors.js';
import { reportRigs } from '../check/build-report.js';
import type { Settings } from '../check/settings.js';
import type { Axis } from '../measure/facts.js';
import { Stopwatch } from '../report/asset-times.js';
import type { AssetReport, FindingReport, PlaceReport } from '../report/report-types.js';
import type { ApprovedAsset } from '../rig/types.js';
import type { AllowedChange } from './allowed-change.js';
import { type KeyedFinding, keyed } from './compare-findings.js';
import type { Editable } from './file/editable.js';
import { type Harm, harmsOf } from './harms.js';
import type { Watch } from './progress.js';
import { isSeen, type Proof } from './proof/proof.js';
import { summed } from './proof/proof-seen.js';
import type { Reading, Readings } from './readings.js';
import { type RigRenames, renamesOf } from './renames.js';
import type { Change, LeftAlone, Mended } from './repair.js';

/** What a user can choose. */
export interface MendOptions {
  /** Name of the asset in the reports. */
  readonly name?: string;
  /** Name, without its ending, for separate buffer files that change; null for the name they have. */
  readonly stem?: string | null;
  /** Rules to mend what they find; null for all that can be. */
  readonly only?: readonly string[] | null;
  /** Rules whose findings are left alone. */
  readonly skip?: readonly string[];
  /** Rules whose repairs may change what is seen. */
  readonly allow?: readonly string[];
  /** Whether curves may be sampled as near as they come, where nothing is exact. */
  readonly resample?: boolean;
  /** Which pose is the truth where the stored pose is not the bind pose. */
  readonly restFrom?: 'bind' | 'pose' | null;
  /** Marks findings that are waived, and so left alone. Is given what has another name by then. */
  readonly judge?: (report: AssetReport, renames: readonly RigRenames[]) => AssetReport;
  /** Whether what has to be unpacked is packed again. */
  readonly pack?: boolean;
  /** Rules whose mends are made although they are only made when asked, or make something else worse. */
  readonly also?: readonly string[];
  /** Is told some times a second what the mend is at. */
  readonly watch?: Watch;
  /** The asset that the rigs are compared with; what differs is only mended when asked. */
  readonly approved?: ApprovedAsset | null;
  /** Also turn whole rigs to this convention. */
  readonly convention?: { readonly aim: Axis; readonly up: Axis } | null;
}

/** A repair that changes what is seen. */
export interface Offence {
  readonly repair: string;
  /** Rules whose findings it answered. */
  readonly rules: readonly string[];
  readonly proof: Proof;
}

interface Terms extends Required<Pick<MendOptions, 'name' | 'allow' | 'judge'>> {
  readonly settings: Settings;
  readonly approved: ApprovedAsset | null;
  /** Rules that the repairs answer. */
  readonly answered: readonly string[];
  readonly readings: Readings;
}

/** A place that a repair was handed to mend, by a key that is the same throughout the mend. */
export interface Handed {
  readonly key: string;
  readonly rule: string;
  /** Index of the rig. */
  readonly rig: number | null;
  readonly place: PlaceReport;
}

/** One step that was made. What it made worse takes long to find, and is only asked where a mend did. */
export interface TriedStep {
  readonly repair: string;
  readonly handed: () => readonly Handed[];
  /** Rules for which it changed something. */
  readonly rules: ReadonlySet<string>;
  /** All that is worse than at first, after it. */
  readonly harms: () => ReadonlyMap<string, Harm>;
}

/** A mend under way: each step is read again, proved, and added up. */
export class Mending {
  present: Reading;
  readonly allowed: AllowedChange[] = [];
  readonly tried: TriedStep[] = [];
  /** What the steps that nobody can see come to at most, those that were allowed to show apart. */
  readonly hidden = { share: 0, turn: 0 };
  private readonly changes: Change[] = [];
  private left: LeftAlone[] = [];
  /** Of single steps; together they mostly prove the whole. */
  private readonly proofs: Proof[] = [];
  private readonly repairSettings: Settings;
  private whole: { readonly reading: Reading; readonly proof: Proof } | null = null;

  private constructor(
    private readonly edit: Editable,
    private readonly folder: string,
    private readonly terms: Terms,
    readonly original: Reading,
  ) {
    const { settings, answered } = terms;
    this.repairSettings = terms.readings.settingsFor(settings, answered);
    this.present = original;
  }

  static async begin(edit: Editable, folder: string, terms: Terms): Promise<Mending> {
    return new Mending(edit, folder, terms, await terms.readings.of(edit, folder));
  }

  /** Takes in what a repair did to the file. Gives back how it shows, where it does and may not. */
  async step(
    repair: string,
    { changes, left, seen, keepsClips }: Mended,
    findings: readonly FindingReport[] = [],
  ): Promise<Offence | null> {
    this.leave(left);
    if (changes.length === 0) return null;
    for (const change of changes) this.changes.push(change);
    const former = this.present;
    this.present = await this.readAgain(repair);
    this.remember(repair, changes, findings, former);
    const proof = this.prove(former);
    this.proofs.push(proof);
    if (!isSeen(proof)) {
      this.hidden.share += proof.share;
      this.hidden.turn += proof.turn;
      return null;
    }
    const rules = seen ?? [...new Set(changes.map(({ rule }) => rule))].sort();
    const isAllowed =
      rules.length > 0 &&
      rules.every((rule) => this.terms.allow.includes(rule)) &&
      // Nobody could want a mesh without a place.
      Number.isFinite(proof.share);
    if (!isAllowed || (keepsClips === true && isSeen(proof.clips))) return { repair, rules, proof };
    this.allow(rules, proof);
    return null;
  }

  private remember(
    repair: string,
    changes: readonly Change[],
    findings: readonly FindingReport[],
    former: Reading,
  ): void {
    const { present, original } = this;
    let harms: ReadonlyMap<string, Harm> | null = null;
    this.tried.push({
      repair,
      rules: new Set(changes.map(({ rule }) => rule)),
      handed: () => keyed({ ...this.report(former), findings }).flatMap(handedBy),
      harms: () => {
        harms ??= harmsOf(this.report(original), this.report(present));
        return harms;
      },
    });
  }

  /** Nobody finds in a file what only a repair would put there. */
  private async readAgain(repair: string): Promise<Reading> {
    try {
      return await this.terms.readings.of(this.edit, this.folder);
    } catch (error) {
      if (!(error instanceof AssetError)) throw error;
      const why = `the file that this mend (${repair}) makes could not be read: ${error.reason}`;
      throw new AssetError(why, error.where);
    }
  }

  /** What the same rules changed in several steps is recorded as one, by the most that it can come to. */
  private allow(rules: readonly string[], { share, turn }: Proof): void {
    const key = rules.join();
    const found = this.allowed.findIndex((change) => change.rules.join() === key);
    const at = found === -1 ? this.allowed.length : found;
    const { percentOfSize = 0, degrees = 0 } = this.allowed[at] ?? {};
    this.allowed[at] = {
      rules,
      percentOfSize: rounded(100 * share + percentOfSize),
      // A normal can lose its direction altogether, which JSON has no number for.
      degrees: rounded(Math.min(MOST_TURN, turn + degrees)),
    };
  }

  leave(left: readonly LeftAlone[]): void {
    for (const finding of left) this.left.push(finding);
  }

  /** A new round lists anew what it leaves alone. */
  forgetLeft(): void {
    this.left = [];
  }

  /**
   * The present findings for the repairs. Between the reports before and after only the rules are judged
   * that can change them: the others take half of a step's time.
   */
  forRepairs(): AssetReport {
    const { present, original, repairSettings, terms } = this;
    return this.report(present, present === original ? terms.settings : repairSettings);
  }

  private report(reading: Reading, settings = this.terms.settings): AssetReport {
    const { name, judge, approved } = this.terms;
    const { model, container, reports } = reading;
    const earlier = reports.get(settings);
    if (earlier !== undefined) return earlier;
    const report = {
      path: name,
      unreadable: null,
      container,
      ...(approved && { approved: approved.name }),
      ...reportRigs(model, settings, new Stopwatch(), approved),
    };
    const { original } = this;
    const renames = reading === original ? [] : renamesOf(original.model, model);
    const judged = judge(report, renames);
    reports.set(settings, judged);
    return judged;
  }

  /** What was done so far, with the proof of all of it. */
  outcome() {
    const { changes, left, allowed, original, present } = this;
    return {
      before: this.report(original),
      after: this.report(present),
      changes,
      left,
      allowed,
      proof: this.proof(),
      renames: renamesOf(original.model, present.model),
    };
  }

  private proof(): Proof {
    const bySteps = summed(this.proofs);
    if (bySteps !== null && (this.proofs.length === 1 || !isSeen(bySteps))) return bySteps;
    if (this.whole?.reading !== this.present)
      this.whole = { reading: this.present, proof: this.prove(this.original) };
    return this.whole.proof;
  }

  /** Of all that was done since an earlier reading. */
  private prove(former: Reading): Proof {
    const { readings, settings } = this.terms;
    return readings.proof(former, this.present, settings.wanted);
  }
}

function handedBy({ finding: { rule, rig, place, places }, keys }: KeyedFinding): Handed[] {
  return [place, ...places].map((at, index) => ({ key: keys[index] ?? '', rule, rig, place: at }));
}

/** No two directions are farther apart. Degrees. */
const MOST_TURN = 180;

function rounded(value: number): number {
  return Number(value.toPrecision(3));
}
