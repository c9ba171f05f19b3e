import type { Facts } from '../../measure/facts.js';
import { isDefaultName } from '../../measure/names/default-name.js';
import {
  followsPattern,
  type NameContent,
  type NamePattern,
  nameBy,
} from '../../measure/names/name-pattern.js';
import type { Side } from '../../measure/names/sides.js';
import { type Pairs, pairs } from '../../measure/skeleton/pairs.js';
import type { Naming } from './naming.js';
import { ONLY_WHERE, type Role, rolesOf } from './role-names.js';
import { bareStem, contentOf, otherSide, spell } from './side-spelling.js';

export const WHY_LONELY =
  'only a person knows whether it has a side, and which joint is its partner';
const WHY_FIXED = 'its side cannot be moved to the place that the standard asks for';

/** What a new name is made from: that of a joint above or beside, or the old one. */
interface Base {
  readonly stem: string;
  /** The first number to try. */
  readonly first: number;
  /** Whether it tells a role alone, and no joint was named so by a person. */
  readonly isRole?: boolean;
}

const ROOT: Base = { stem: 'root', first: 2, isRole: true };

/**
 * Names the joints of one rig that the rules of names find at fault by a house's pattern: sides as it
 * spells them, all but the first of one name with a number, and joints without a name, or with one that
 * a program gave, after the joint above, with the side they are on; below no name by their role. All other
 * names stay.
 */
export function nameByPattern(
  pattern: NamePattern,
  facts: Facts,
  naming: Naming,
  isFound: (rule: string) => boolean,
): void {
  const names = new PatternNames(
    pattern,
    pairs(facts),
    rolesOf(facts),
    facts.rig.joints.parent,
    naming,
  );
  if (isFound('name.missing')) names.requestMissing();
  if (isFound('name.default')) names.requestDefault();
  if (isFound('name.side')) names.respellSides();
  if (isFound('name.duplicate')) names.partDuplicates();
  names.nameRequested();
}

class PatternNames {
  /** Joints that need a whole name, by the rule that found them. */
  private readonly requested = new Map<number, string>();

  constructor(
    private readonly pattern: NamePattern,
    private readonly pairs: Pairs,
    private readonly roles: readonly Role[],
    private readonly parent: Int32Array,
    private readonly naming: Naming,
  ) {}

  requestMissing(): void {
    this.naming.names.forEach((name, joint) => {
      if (name === null) this.requested.set(joint, 'name.missing');
    });
  }

  requestDefault(): void {
    this.naming.names.forEach((name, joint) => {
      if (name !== null && isDefaultName(name)) this.requested.set(joint, 'name.default');
    });
  }

  respellSides(): void {
    const rule = 'name.side';
    const { naming, pattern } = this;
    const { named, partner } = this.pairs;
    naming.names.forEach((name, joint) => {
      const spelt = name === null || named[joint] == null ? null : spell(name);
      if (name === null || spelt === null || this.requested.has(joint)) return;
      if (partner[joint] === -1 && spelt.apart) naming.leave(rule, joint, WHY_LONELY);
      if (followsPattern(pattern, name)) return;
      const beside = naming.names[partner[joint] ?? -1] ?? null;
      const other = beside !== null && followsPattern(pattern, beside) ? spell(beside) : null;
      const respelt =
        other !== null && bareStem(other) === bareStem(spelt)
          ? otherSide(other)
          : nameBy(pattern, this.contentOf(joint, name));
      if (respelt === null) naming.leave(rule, joint, WHY_FIXED);
      else if (naming.isTaken(respelt))
        naming.leave(rule, joint, `another node is named "${respelt}"`);
      else naming.rename(rule, joint, respelt);
    });
  }

  /** Two of a pair that share a name without a side get theirs; of all others, all but the first a number. */
  partDuplicates(): void {
    const rule = 'name.duplicate';
    const { naming } = this;
    const seen = new Set<string>();
    naming.names.forEach((name, joint) => {
      if (name === null || this.requested.has(joint)) return;
      const content = this.contentOf(joint, name);
      const other = this.pairs.partner[joint] ?? -1;
      if (content.side === null && naming.names[other] === name) {
        const two = this.bothBy({ ...content, side: this.pairs.side[joint] ?? null });
        if (two?.every((free) => !naming.isTaken(free)) === true) {
          naming.rename(rule, joint, two[0]);
          naming.rename(rule, other, two[1]);
          return;
        }
      }
      if (seen.has(name)) {
        const base = this.baseOf(joint, name);
        naming.rename(rule, joint, this.numbered(base, content.side, false)[0]);
      }
      seen.add(name);
    });
  }

  nameRequested(): void {
    const { naming, requested } = this;
    const bases: Base[] = [];
    const done = new Set<number>();
    naming.names.forEach((name, joint) => {
      const rule = requested.get(joint);
      const above = bases[this.parent[joint] ?? -1] ?? ROOT;
      const base =
        rule === 'name.default' && above.isRole === true
          ? this.roleBase(joint)
          : rule !== undefined || name === null
            ? above
            : this.baseOf(joint, name);
      bases.push(base);
      if (rule === undefined || done.has(joint)) return;
      done.add(joint);
      const other = this.pairs.partner[joint] ?? -1;
      const side = this.pairs.side[joint] ?? null;
      const isBoth = requested.has(other) && !done.has(other);
      const beside = this.nameBeside(other, side);
      if (base === ROOT && !naming.isTaken(ROOT.stem)) this.give(rule, joint, ROOT.stem);
      else if (beside !== null && !isBoth) this.give(rule, joint, beside);
      else {
        const [first, opposite] = this.numbered(base, side, isBoth);
        this.give(rule, joint, first);
        if (!isBoth || opposite === undefined) return;
        done.add(other);
        this.give(requested.get(other) ?? rule, other, opposite);
      }
    });
  }

  private give(rule: string, joint: number, name: string): void {
    this.naming.rename(rule, joint, name, rule === 'name.default' ? ONLY_WHERE : '');
  }

  /** The name of a partner with the other side in it, if it has one and the name is free. */
  private nameBeside(partner: number, side: Side | null): string | null {
    const name = this.naming.names[partner] ?? null;
    if (name === null || side === null || this.requested.has(partner)) return null;
    const content = this.contentOf(partner, name);
    const mirrored = content.side === null ? null : nameBy(this.pattern, { ...content, side });
    return mirrored === null || this.naming.isTaken(mirrored) ? null : mirrored;
  }

  private roleBase(joint: number): Base {
    const role = this.roles[joint] ?? 'chain';
    return role === 'root' ? ROOT : { stem: role, first: 1, isRole: true };
  }

  private baseOf(joint: number, name: string): Base {
    const { stem, number } = this.contentOf(joint, name);
    // The first number to try: one more than an existing one, 2 after none.
    return { stem, first: Math.max(2, Number(number ?? 1) + 1) };
  }

  /** A side counts where pairs show that names have sides. */
  private contentOf(joint: number, name: string): NameContent {
    return contentOf(this.pattern, name, this.pairs.named[joint] != null);
  }

  /** The name with the smallest number that is free, on both sides where a partner takes the other. */
  private numbered({ stem, first }: Base, side: Side | null, both: boolean): [string, ...string[]] {
    const { pattern, naming } = this;
    const make = (number: number): [string, ...string[]] => {
      const content = { stem, number: String(number).padStart(pattern.digits, '0'), side };
      const sideless = { ...content, side: null };
      const two = both ? this.bothBy(content) : null;
      // What cannot have a side by the pattern goes without.
      return two ?? [nameBy(pattern, content) ?? nameBy(pattern, sideless) ?? stem];
    };
    return make(naming.taken.freeNumber(first, `${side} ${both} ${stem}`, make));
  }

  private bothBy(content: NameContent): [string, string] | null {
    if (content.side === null) return null;
    const other: Side = content.side === 'left' ? 'right' : 'left';
    const [a, b] = [content.side, other].map((side) => nameBy(this.pattern, { ...content, side }));
    return a == null || b == null ? null : [a, b];
  }
}
