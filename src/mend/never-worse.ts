import { CONVENTION, type MendResult, type Outcome } from './attempt.js';
import { type Harm, harmsOf, harmWords } from './harms.js';
import type { Handed, MendOptions, TriedStep } from './mending.js';
import type { Repair } from './repair.js';
import type { SparedPlaces } from './spared.js';

/**
 * Sees to it that a mend makes nothing worse: finds the repair that brings up a finding or raises its
 * level, and spares what it mends, at first only at the places that become worse, then in their rig, then
 * everywhere. The mend is made again each time.
 */
export class NeverWorse {
  constructor(
    private readonly repairs: readonly Repair[],
    private readonly options: MendOptions,
    private readonly spared: SparedPlaces,
  ) {}

  isWorse({ before, after }: MendResult): boolean {
    return harmsOf(before, after).size > 0;
  }

  /** Spares what made something worse. Whether there was anything to spare. */
  spareFor({ result: { before, after }, mending: { tried } }: Outcome): boolean {
    const harms = harmsOf(before, after);
    for (const [key, harm] of harms) {
      const step = culprit(tried, key);
      if (step === undefined || this.isAsked(step)) continue;
      const alike = [...harms.values()].filter(({ finding }) => finding === harm.finding);
      if (this.spare(step, harm, alike)) return true;
    }
    return false;
  }

  /** What a user asks for by name is made whatever comes of it. */
  private isAsked({ repair, rules }: TriedStep): boolean {
    const { also = [], allow = [], only } = this.options;
    const isBold = this.repairs.find(({ name }) => name === repair)?.isBold === true;
    const asked = [...also, ...allow, ...(isBold ? (only ?? []) : [])];
    return repair === CONVENTION || asked.some((rule) => rules.has(rule));
  }

  /** Spares the nearest of what a step mended that is not spared yet. */
  private spare(step: TriedStep, harm: Harm, alike: readonly Harm[]): boolean {
    const nodes = new Set(alike.flatMap(({ place }) => place.node ?? []));
    const open = step.handed().filter(({ key }) => !this.spared.has(key));
    const nearest: readonly ((place: Handed) => boolean)[] = [
      ({ place }) => place.node !== null && nodes.has(place.node),
      ({ rig }) => rig === harm.finding.rig,
      () => true,
    ];
    for (const isNear of nearest) {
      const found = open.filter(isNear);
      for (const { key, rule, place } of found)
        this.spared.add(key, rule, place, whySpared(rule, harm));
      if (found.length > 0) return true;
    }
    return false;
  }
}

/** The first step from which on something is worse up to the end. */
function culprit(tried: readonly TriedStep[], key: string): TriedStep | undefined {
  return tried[tried.findLastIndex(({ harms }) => !harms().has(key)) + 1];
}

function whySpared(rule: string, harm: Harm): string {
  return `a mend of it would ${harmWords(harm)}; to mend it nevertheless, add --also ${rule}`;
}
