import type { Facts } from '../../measure/facts.js';
import { isDefaultName } from '../../measure/names/default-name.js';
import type { Side } from '../../measure/names/sides.js';
import { pairs } from '../../measure/skeleton/pairs.js';
import { spreadUp } from '../../rig/tree.js';
import type { Naming } from './naming.js';
import {
  commonSpelling,
  most,
  otherSide,
  type Spelling,
  spell,
  stemOf,
  withSide,
} from './side-spelling.js';

/** What the measures know of a joint without knowing the animal. */
export type Role = 'root' | 'spine' | 'chain';

/** What is added to the plan, since nobody has said what the joint is in the body. */
export const ONLY_WHERE = ', which says only where the joint is';

/**
 * The role of each joint: topmost joints are roots; what is in the middle and carries left and right joints
 * is the spine; everything else is part of a chain, a limb or a tail.
 */
export function rolesOf(facts: Facts): Role[] {
  const { joints } = facts.rig;
  const { side } = pairs(facts);
  const [left, right] = (['left', 'right'] as const).map((which) =>
    spreadUp(
      joints,
      Uint8Array.from(side, (each) => (each === which ? 1 : 0)),
    ),
  );
  return Array.from(joints.parent, (parent, joint) => {
    if (parent === -1) return 'root';
    const isBetween = left?.[joint] === 1 && right?.[joint] === 1;
    return side[joint] == null && isBetween ? 'spine' : 'chain';
  });
}

/**
 * Names joints without a name, or with one that a program gave, as `rule` finds them: as the partner, if that has a name with a side; else after the
 * joint above that has a name, with a number; else, below nothing but a root, by their role, chains numbered
 * and each of their joints too. Two of a pair get the same name but for the side, spelt as the rig does.
 */
export function nameByRole(
  facts: Facts,
  naming: Naming,
  rule: 'name.default' | 'name.missing',
): void {
  const names = new RoleNames(facts, naming, rule);
  for (let joint = 0; joint < facts.rig.joints.count; joint++) names.name(joint);
}

/** A chain's number, and that of one of its joints. */
interface Link {
  readonly chain: number;
  readonly step: number;
}

class RoleNames {
  private readonly roles: readonly Role[];
  private readonly spelling: Spelling;
  private readonly bare: readonly boolean[];
  /** The name that joints below are named after; null below none but roots and bare ones. */
  private readonly bases: (string | null)[] = [];
  private readonly links = new Map<number, Link>();
  /** Joints whose chain goes on in one below. */
  private readonly continued = new Set<number>();
  private readonly done = new Set<number>();
  /** No two chains have one number, whatever their side. */
  private nextChain = 1;

  constructor(
    private readonly facts: Facts,
    private readonly naming: Naming,
    private readonly rule: 'name.default' | 'name.missing',
  ) {
    this.roles = rolesOf(facts);
    this.bare = naming.names.map((name) =>
      rule === 'name.missing' ? name === null : name !== null && isDefaultName(name),
    );
    const { named } = pairs(facts);
    const spelt = naming.names.flatMap((name, joint) => {
      const read = name === null || named[joint] == null ? null : spell(name);
      return read === null || this.bare[joint] === true ? [] : [read];
    });
    const style = most(spelt.map((each) => each.style));
    // The trade's most common spelling, where the rig has none.
    this.spelling =
      style === null || style.endsWith('within')
        ? { style: 'letter-last', separator: '_', casing: 'upper' }
        : commonSpelling(spelt, style);
  }

  name(joint: number): void {
    const { naming } = this;
    const above = this.facts.rig.joints.parent[joint] ?? -1;
    const name = naming.names[joint] ?? null;
    const isProper = name !== null && this.bare[joint] !== true;
    // What hangs on the root alone is known by its role.
    this.bases[joint] = isProper && above !== -1 ? name : (this.bases[above] ?? null);
    if (this.bare[joint] !== true || this.done.has(joint)) return;
    const two = pairs(this.facts);
    const other = two.partner[joint] ?? -1;
    const beside = this.besideOf(other);
    if (beside !== null) {
      this.give(joint, beside);
      this.bases[joint] = beside;
      return;
    }
    const isBoth = this.bare[other] === true && !this.done.has(other);
    const list = isBoth ? [joint, other] : [joint];
    const base = this.bases[joint] ?? null;
    const found = base === null ? this.byRole(list) : this.after(base, list);
    list.forEach((each, at) => {
      this.give(each, found[at] ?? '', base === null && this.roles[each] !== 'root');
    });
  }

  private give(joint: number, name: string, isPlace = false): void {
    this.done.add(joint);
    // A joint that never had a name loses none: only a name of where it is needs the note.
    const note = this.rule === 'name.default' || isPlace ? ONLY_WHERE : '';
    this.naming.rename(this.rule, joint, name, note);
  }

  /** The name of a partner that has one, with the other side; null where there is none that is free. */
  private besideOf(partner: number): string | null {
    const name = this.naming.names[partner] ?? null;
    const spelt = name === null || this.bare[partner] === true ? null : spell(name);
    const mirrored = spelt === null ? null : otherSide(spelt);
    return mirrored === null || this.naming.isTaken(mirrored) ? null : mirrored;
  }

  private after(base: string, list: readonly number[]): string[] {
    const spelt = spell(base);
    const stem = spelt?.apart === true ? stemOf(spelt) : base;
    const key = `${this.sidesOf(list)} after ${stem}`;
    return this.numbered(2, key, list, (number) => `${stem}_${number}`);
  }

  private byRole(list: readonly number[]): string[] {
    const [joint = -1] = list;
    const role = this.roles[joint] ?? 'chain';
    if (role === 'root' && !this.naming.isTaken('root')) return ['root'];
    if (role === 'chain') return this.inChain(list);
    const first = role === 'root' ? 2 : 1;
    return this.numbered(first, `role ${role}`, list, (number) => `${role}_${number}`);
  }

  /** The next of the chain above, where that has not gone on elsewhere; else the first of a new one. */
  private inChain(list: readonly number[]): string[] {
    const parents = list.map((joint) => this.facts.rig.joints.parent[joint] ?? -1);
    const [above = -1] = parents;
    const link = this.links.get(above);
    const isOpen = (parent: number): boolean =>
      this.links.get(parent) === link && !this.continued.has(parent);
    if (link !== undefined && parents.every(isOpen)) {
      const next = { ...link, step: link.step + 1 };
      const names = this.sided(list, `chain_${next.chain}_${next.step}`);
      if (names.every((name) => !this.naming.isTaken(name))) {
        for (const parent of parents) this.continued.add(parent);
        for (const joint of list) this.links.set(joint, next);
        return names;
      }
    }
    let chain = this.nextChain;
    const names = this.numbered(chain, `chain ${this.sidesOf(list)}`, list, (number) => {
      chain = number;
      return `chain_${number}_1`;
    });
    this.nextChain = chain + 1;
    const begun = { chain, step: 1 };
    for (const joint of list) this.links.set(joint, begun);
    return names;
  }

  /** Names with the smallest number that is free for all of them. */
  private numbered(
    first: number,
    key: string,
    list: readonly number[],
    stemOfNumber: (number: number) => string,
  ): string[] {
    const make = (number: number): string[] => this.sided(list, stemOfNumber(number));
    return make(this.naming.taken.freeNumber(first, key, make));
  }

  private sided(list: readonly number[], stem: string): string[] {
    return list.map((joint) => {
      const side = this.sideOf(joint);
      return side === null ? stem : withSide(stem, side, this.spelling);
    });
  }

  private sidesOf(list: readonly number[]): string {
    return list.map((joint) => this.sideOf(joint)).join();
  }

  private sideOf(joint: number): Side | null {
    return pairs(this.facts).side[joint] ?? null;
  }
}
