import { angleWords, significant } from '../../kit/figures.js';
import type { Change, LeftAlone, Mended } from '../repair.js';
import { UNSEEN, UNTURNED } from './unseen-weights.js';
import type { WantedWeights, WeightFault } from './vertex-weights.js';

/** The rule that finds each fault. */
export const RULE_OF: Readonly<Record<WeightFault, string>> = {
  repeated: 'skin.repeat',
  negative: 'skin.repeat',
  crowded: 'skin.budget',
  'off sum': 'skin.sum',
};

const WHY = {
  'past the joints': 'they use an index that is not a joint of the skin; mend that first',
  rounding: 'they sum to 1 as exactly as 32-bit floats can; set a limit of at least 0.000001',
  'two storages': 'the sets of weights are stored as two kinds of numbers; export them as one kind',
};

/** Why a vertex keeps a fault. */
export type Reason = 'moves' | 'turns' | keyof typeof WHY;

/** Counts what became of the vertices of one mesh, and puts it in words. */
export class Tally {
  /** By fault and reason, null where it was mended; `most` is the largest weight dropped, move or turn. */
  private readonly counts = new Map<
    string,
    { fault: WeightFault; reason: Reason | null; count: number; most: number }
  >();
  /** What each fault is called, and the same vertices once they are mended. */
  private readonly words: Readonly<Record<WeightFault, readonly [bad: string, good: string]>>;

  constructor(
    private readonly place: string,
    private readonly wanted: WantedWeights,
  ) {
    const { full, budget } = wanted;
    const sum = full === 1 ? '1' : `${full} steps`;
    this.words = {
      repeated: ['two weights of one joint', 'one weight for each joint'],
      negative: ['a negative weight', 'only weights above 0'],
      crowded: [`more than ${budget} joints`, `${budget} joints at most`],
      'off sum': [`weights that do not sum to ${sum}`, `a sum of ${sum}`],
    };
  }

  /** @param dropped The largest weight that was dropped, as stored. */
  mend(faults: Iterable<WeightFault>, dropped: number): void {
    for (const fault of faults) this.add(fault, null, dropped);
  }

  /** @param moved How far a vertex would move, or for `turns` its normal turn. */
  leave(faults: Iterable<WeightFault>, reason: Reason, moved: number): void {
    for (const fault of faults) this.add(fault, reason, moved);
  }

  private add(fault: WeightFault, reason: Reason | null, amount: number): void {
    const key = `${fault} ${reason}`;
    const { count, most } = this.counts.get(key) ?? { count: 0, most: 0 };
    this.counts.set(key, { fault, reason, count: count + 1, most: Math.max(most, amount) });
  }

  told(): Mended {
    const { place } = this;
    const [changes, left]: [Change[], LeftAlone[]] = [[], []];
    for (const { fault, reason, count, most } of this.counts.values()) {
      const [bad, good] = this.words[fault];
      const before = `${count === 1 ? '1 vertex' : `${count} vertices`} with ${bad}`;
      const rule = RULE_OF[fault];
      if (reason === null)
        changes.push({ rule, place, before, after: `${good}${this.droppedWords(fault, most)}` });
      else left.push({ rule, place, why: `${before}: ${this.because(fault, reason, most)}` });
    }
    return { changes, left };
  }

  /** What was dropped: no pose of the file shows it, but one made from the file may. */
  private droppedWords(fault: WeightFault, dropped: number): string {
    if (dropped === 0 || fault === 'repeated' || fault === 'off sum') return '';
    return `; the largest weight dropped is ${significant(dropped / this.wanted.full)}, which may be visible in poses that no clip of the file has`;
  }

  private because(fault: WeightFault, reason: Reason, most: number): string {
    if (reason !== 'moves' && reason !== 'turns') return WHY[reason];
    const share = (value: number): string => `${significant(100 * value)} % of the size`;
    const moves = Number.isFinite(most)
      ? `move a vertex by at least ${share(most)} (limit ${share(UNSEEN)})`
      : 'leave a vertex without a place';
    const turns = `turn a normal by at least ${angleWords(most)} (limit ${UNTURNED}°)`;
    return `${this.words[fault][1]} would ${reason === 'moves' ? moves : turns}; mend them in the program where the skin is painted, or allow the change with --allow-change ${RULE_OF[fault]}`;
  }
}
