import type { JointTable } from '../../rig/types.js';

/**
 * How a joint of the approved rig was found again, the surest way first: by the names from the body
 * root down to it, by its own name, by that name with prefix, side and number taken apart, by the
 * VRM mapping of both assets. A joint without a name is found by its place among its siblings.
 */
export type MatchedBy = 'path' | 'name' | 'parts' | 'mapping' | 'place';

/** What joints are known by, on both sides; null for a joint that is not known by it. */
export interface Keys {
  readonly approved: readonly (string | null)[];
  readonly rig: readonly (string | null)[];
}

/** Two joints have one key, so neither is known by it. */
const SEVERAL = -2;

/** Pairs up joints by one key after the other. Each step costs one pass over the joints. */
export class Matcher {
  readonly ofApproved: Int32Array;
  readonly ofRig: Int32Array;
  readonly by: (MatchedBy | null)[];

  constructor(
    private readonly approved: JointTable,
    private readonly rig: JointTable,
  ) {
    this.ofApproved = new Int32Array(approved.count).fill(-1);
    this.ofRig = new Int32Array(rig.count).fill(-1);
    this.by = approved.names.map(() => null);
  }

  /** Matches those of some joints that one key tells from all others of them. */
  private among(
    own: readonly number[],
    others: readonly number[],
    keys: Keys,
    by: MatchedBy,
  ): void {
    const wanted = byKey(own, this.ofApproved, keys.approved);
    if (wanted.size === 0) return;
    const there = byKey(others, this.ofRig, keys.rig);
    for (const [key, joint] of wanted) this.match(joint, there.get(key) ?? -1, by);
  }

  /**
   * Matches siblings. Those that share a key are told apart by where they stand, which is their
   * order, if there are as many of them on both sides.
   */
  siblings(own: readonly number[], others: readonly number[], keys: Keys, by: MatchedBy): void {
    const wanted = lists(own, this.ofApproved, keys.approved);
    if (wanted.size === 0) return;
    const there = lists(others, this.ofRig, keys.rig);
    for (const [key, list] of wanted) {
      const found = there.get(key);
      if (found?.length === list.length)
        list.forEach((joint, at) => {
          this.match(joint, found[at] ?? -1, by);
        });
    }
  }

  anywhere(keys: Keys, by: MatchedBy): void {
    this.among([...this.ofApproved.keys()], [...this.ofRig.keys()], keys, by);
  }

  /** Matches what hangs below two joints, which need not be matched themselves. */
  below(approved: number, rig: number, keys: Keys, by: MatchedBy): void {
    const own = this.approved.children[approved] ?? [];
    this.siblings(own, this.rig.children[rig] ?? [], keys, by);
  }

  /** From above, since a match lets the children be matched: what hangs below all that are matched. */
  descend(keys: Keys, by: MatchedBy): void {
    for (let joint = 0; joint < this.approved.count; joint++) {
      const found = this.ofApproved[joint] ?? -1;
      if (found !== -1) this.below(joint, found, keys, by);
    }
  }

  /** Matches joints without a name where as many of them hang below a pair, from above. */
  unnamed(own: readonly number[], others: readonly number[]): void {
    const keys: Keys = { approved: nameless(this.approved), rig: nameless(this.rig) };
    this.siblings(own, others, keys, 'place');
    this.descend(keys, 'place');
  }

  private match(approved: number, rig: number, by: MatchedBy): void {
    if (approved < 0 || rig < 0) return;
    this.ofApproved[approved] = rig;
    this.ofRig[rig] = approved;
    this.by[approved] = by;
  }
}

function nameless({ named }: JointTable): (string | null)[] {
  return named.map((has) => (has ? null : ''));
}

function byKey(
  joints: readonly number[],
  taken: Int32Array,
  keys: readonly (string | null)[],
): Map<string, number> {
  const found = new Map<string, number>();
  for (const joint of joints) {
    const key = keys[joint] ?? null;
    if (key !== null && taken[joint] === -1) found.set(key, found.has(key) ? SEVERAL : joint);
  }
  return found;
}

function lists(
  joints: readonly number[],
  taken: Int32Array,
  keys: readonly (string | null)[],
): Map<string, number[]> {
  const found = new Map<string, number[]>();
  for (const joint of joints) {
    const key = keys[joint] ?? null;
    if (key === null || taken[joint] !== -1) continue;
    const list = found.get(key);
    if (list === undefined) found.set(key, [joint]);
    else list.push(joint);
  }
  return found;
}
