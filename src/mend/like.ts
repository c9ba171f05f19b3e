import { pairRigs } from '../check/pair-rigs.js';
import type { Facts } from '../measure/facts.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';
import type { ApprovedAsset, Rig, RigModel } from '../rig/types.js';
import { FITTING } from './fitting.js';
import type { MendOptions } from './mending.js';
import type { LeftAlone, Repair } from './repair.js';

/** What of a mend is held to an approved asset, and whether it is to become like it. */
export class Like {
  private readonly asked: readonly Repair[];

  constructor(
    private readonly approved: ApprovedAsset | null,
    repairs: readonly Repair[],
    { also = [], only = null, skip = [] }: MendOptions,
  ) {
    const isAsked = (rule: string): boolean =>
      !skip.includes(rule) && (also.includes(rule) || only?.includes(rule) === true);
    this.asked =
      approved === null
        ? []
        : repairs.filter(
            ({ overrules = [], rules }) => overrules.length > 0 && rules.some(isAsked),
          );
  }

  /** Whether the rigs are to become like the approved ones. */
  get isAsked(): boolean {
    return this.asked.length > 0;
  }

  /** What a rig has to fit, for all that is measured of it. */
  approvedOf(rig: Rig, { rigs }: RigModel): Pick<Facts, 'approved'> {
    const approved = this.approved && pairRigs(this.approved, rigs).get(rig);
    return approved ? { approved } : {};
  }

  /** Why a finding is not mended: one rig cannot have two conventions. Null where nothing is against it. */
  whyOverruled({ rule, rig: index }: FindingReport, model: RigModel): string | null {
    const rig = model.rigs[index ?? -1];
    const isPaired = rig !== undefined && this.approvedOf(rig, model).approved?.rig != null;
    const isRuled = this.asked.some(({ overrules = [] }) => overrules.includes(rule));
    return isPaired && isRuled ? OVERRULED : null;
  }

  /** What still differs from the approved asset and nobody has told yet, in the words of a comparison. */
  unlike({ findings }: AssetReport, left: readonly LeftAlone[]): LeftAlone[] {
    if (!this.isAsked) return [];
    const told = new Set(left.map(({ rule, place }) => `${rule} ${place}`));
    return findings
      .filter(({ rule, place, places, waived }) => {
        const isTold = [place, ...places].some(({ path }) => told.has(`${rule} ${path}`));
        return rule.startsWith(FITTING) && waived === undefined && !isTold;
      })
      .map(({ rule, place, message }) => ({ rule, place: place.path, why: message }));
  }
}

const OVERRULED = 'the rig is made like the approved one, which may have another convention';
