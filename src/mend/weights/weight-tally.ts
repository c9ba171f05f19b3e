import { angleWords, significant } from '../../kit/figures.js';
import type { Mended } from '../repair.js';
import { UNSEEN, UNTURNED } from './unseen-weights.js';
import type { WantedWeights, WeightFault } from './vertex-weights.js';

/** The rule that finds each fault. */
export const RULE_OF: Readonly<Record<WeightFault, string>> = {
  repeated: 'skin.repeat',
  negative: 'skin.repeat',
  crowded: 'skin.budget',
  'off sum': 'skin.sum',
};

/** Why a vertex keeps a fault. */
export type Reason =
  | 'moves'
  | 'turns'
  | 'no number'
  | 'past the joints'
  | 'rounding'
  | 'two storages';

/** Counts what became of the vertices of one mesh, and puts it in words. */
export class Tally {
  private readonly mended = new Map<WeightFault, { count: number; dropped: number }>();
  private readonly kept = new Map<
    string,
    { fault: WeightFault; reason: Reason; count: number; moved: number }
  >();

  constructor(
    private readonly place: string,
    private readonly wanted: WantedWeights,
  ) {}

  /** @param dropped The largest weight that was dropped, as stored. */
  mend(faults: Iterable<WeightFault>, dropped: number): void {
    for (const fault of faults) {
      const before = this.mended.get(fault) ?? { count: 0, dropped: 0 };
      this.mended.set(fault, {
        count: before.count + 1,
        dropped: Math.max(before.dropped, dropped),
      });
    }
  }

  /** @param moved How far a vertex would move, or for `turns` its normal turn. */
  leave(faults: Iterable<WeightFault>, reason: Reason, moved: number): void {
    for (const fault of faults) {
      const key = `${fault} ${reason}`;
      const before = this.kept.get(key) ?? { fault, reason, count: 0, moved: 0 };
      this.kept.set(key, {
        ...before,
        count: before.count + 1,
        moved: Math.max(before.moved, moved),
      });
    }
  }

  told(): Mended {
    const { place } = this;
    const changes = [...this.mended].map(([fault, { count, dropped }]) => ({
      rule: RULE_OF[fault],
      place,
      before: `${vertices(count)} with ${this.badly(fault)}`,
      after: `${this.well(fault)}${this.less(fault, dropped)}`,
    }));
    const left = [...this.kept.values()].map(({ fault, reason, count, moved }) => ({
      rule: RULE_OF[fault],
      place,
      why: `${vertices(count)} with ${this.badly(fault)}: ${this.because(fault, reason, moved)}`,
    }));
    return { changes, left };
  }

  private badly(fault: WeightFault): string {
    const { full, budget } = this.wanted;
    const bad: Record<WeightFault, string> = {
      repeated: 'two weights of one joint',
      negative: 'a weight that is negative or not a number',
      crowded: `more than ${budget} joints`,
      'off sum': `weights that do not sum to ${full === 1 ? '1' : `${full} steps`}`,
    };
    return bad[fault];
  }

  private well(fault: WeightFault): string {
    const { full, budget } = this.wanted;
    const good: Record<WeightFault, string> = {
      repeated: 'one weight for each joint',
      negative: 'only weights above 0',
      crowded: `${budget} joints at most`,
      'off sum': `a sum of ${full === 1 ? '1' : `${full} steps`}`,
    };
    return good[fault];
  }

  /** What went: weight that no pose of the file shows may show in one that is made of it. */
  private less(fault: WeightFault, dropped: number): string {
    if (dropped === 0 || fault === 'repeated' || fault === 'off sum') return '';
    return `; the largest weight dropped is ${significant(dropped / this.wanted.full)}, which may be visible in poses that no clip of the file has`;
  }

  private because(fault: WeightFault, reason: Reason, moved: number): string {
    const share = (value: number): string => `${significant(100 * value)} % of the size`;
    const why: Record<Reason, string> = {
      moves: `${this.well(fault)} would ${
        Number.isFinite(moved)
          ? `move a vertex by at least ${share(moved)} (limit ${share(UNSEEN)})`
          : 'leave a vertex without a place'
      }; mend them in the program where the skin is painted, or allow the change with --allow-change ${RULE_OF[fault]}`,
      turns: `${this.well(fault)} would turn a normal by at least ${angleWords(moved)} (limit ${UNTURNED}°); mend them in the program where the skin is painted, or allow the change with --allow-change ${RULE_OF[fault]}`,
      'no number': 'nobody can know where they should be; paint the weights again',
      'past the joints': 'they use an index that is not a joint of the skin; mend that first',
      rounding: 'they sum to 1 as exactly as 32-bit floats can; set a limit of at least 0.000001',
      'two storages':
        'the sets of weights are stored as two kinds of numbers; export them as one kind',
    };
    return why[reason];
  }
}

function vertices(count: number): string {
  return count === 1 ? '1 vertex' : `${count} vertices`;
}
