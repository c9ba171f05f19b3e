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
import { contentOf, numberAfter } from './name-content.js';
import type { Naming } from './naming.js';
import { bareStem, otherSide, spell } from './side-spelling.js';

export const WHY_DEFAULT =
  'only a person knows what these joints are in the body; name them by hand';

export const WHY_LONELY =
  'only a person knows whether it has a side, and which joint is its partner';

/** What a new name goes by: that of a joint above or beside, or the old one. */
interface Base {
  readonly stem: string;
  /** The first number to try. */
  readonly first: number;
}

/**
 * Names the joints of one rig that the rules of names find at fault by a house's pattern: sides as it
 * spells them, all but the first of one name with a number, and joints without a name, or with one that
 * a program gave, after the joint above, with the side they are on. All other names stay.
 */
export function nameByPattern(
  pattern: NamePattern,
  facts: Facts,
  naming: Naming,
  told: (rule: string) => boolean,
): void {
  const names = new PatternNames(pattern, facts, naming);
  if (told('name.missing')) names.askFor('name.missing');
  if (told('name.default')) names.askFor('name.default');
  if (told('name.side')) names.respellSides();
  if (told('name.duplicate')) names.partDuplicates();
  names.nameAsked();
}

class PatternNames {
  private readonly pairs: Pairs;
  private readonly count: number;
  private readonly parent: Int32Array;
  /** Joints that need a whole name, by the rule that found them. */
  private readonly asked = new Map<number, string>();
  private readonly isProper: boolean[];

  constructor(
    private readonly pattern: NamePattern,
    facts: Facts,
    private readonly naming: Naming,
  ) {
    this.pairs = pairs(facts);
    this.count = facts.rig.joints.count;
    this.parent = facts.rig.joints.parent;
    this.isProper = naming.names.map((name) => name !== null && !isDefaultName(name));
  }

  askFor(rule: 'name.missing' | 'name.default'): void {
    // Parents stand before their children.
    const hasProper: boolean[] = [];
    for (let joint = 0; joint < this.count; joint++) {
      const above = hasProper[this.parent[joint] ?? -1] === true;
      hasProper[joint] = above || this.isProper[joint] === true;
      const name = this.naming.names[joint] ?? null;
      if (rule === 'name.missing') {
        if (name === null) this.asked.set(joint, rule);
      } else if (name !== null && isDefaultName(name)) {
        // Below nothing but such names, another one would tell no more.
        if (above) this.asked.set(joint, rule);
        else this.naming.leave(rule, joint, WHY_DEFAULT);
      }
    }
  }

  respellSides(): void {
    const rule = 'name.side';
    const { named, partner } = this.pairs;
    for (let joint = 0; joint < this.count; joint++) {
      const name = this.naming.names[joint] ?? null;
      const spelt = name === null || named[joint] == null ? null : spell(name);
      if (name === null || spelt === null || this.asked.has(joint)) continue;
      if (partner[joint] === -1 && spelt.apart) this.naming.leave(rule, joint, WHY_LONELY);
      if (followsPattern(this.pattern, name)) continue;
      const beside = this.naming.names[partner[joint] ?? -1] ?? null;
      const other = beside !== null && followsPattern(this.pattern, beside) ? spell(beside) : null;
      const made =
        other !== null && bareStem(other) === bareStem(spelt)
          ? otherSide(other)
          : nameBy(this.pattern, this.contentOf(joint, name));
      if (made === null)
        this.naming.leave(
          rule,
          joint,
          'its side cannot be moved to the place that the standard asks for',
        );
      else if (this.naming.isTaken(made))
        this.naming.leave(rule, joint, `another node is named "${made}"`);
      else this.naming.rename(rule, joint, made);
    }
  }

  /** Two of a pair that share a name without a side take theirs; of all others, all but the first a number. */
  partDuplicates(): void {
    const rule = 'name.duplicate';
    const { partner, side } = this.pairs;
    const seen = new Set<string>();
    for (let joint = 0; joint < this.count; joint++) {
      const name = this.naming.names[joint] ?? null;
      if (name === null || this.asked.has(joint)) continue;
      const content = this.contentOf(joint, name);
      const other = partner[joint] ?? -1;
      const own = side[joint] ?? null;
      if (content.side === null && own !== null && this.naming.names[other] === name) {
        const two = this.bothBy({ ...content, side: own });
        if (two?.every((made) => !this.naming.isTaken(made)) === true) {
          this.naming.rename(rule, joint, two[0]);
          this.naming.rename(rule, other, two[1]);
          continue;
        }
      }
      if (seen.has(name)) this.naming.rename(rule, joint, this.numbered(content, false)[0]);
      seen.add(name);
    }
  }

  nameAsked(): void {
    const bases: Base[] = [];
    const given = new Set<number>();
    for (let joint = 0; joint < this.count; joint++) {
      const rule = this.asked.get(joint);
      const name = this.naming.names[joint] ?? null;
      const base =
        rule !== undefined || name === null
          ? (bases[this.parent[joint] ?? -1] ?? ROOT)
          : this.baseOf(joint, name);
      bases.push(base);
      if (rule === undefined || given.has(joint)) continue;
      given.add(joint);
      const other = this.pairs.partner[joint] ?? -1;
      const side = this.pairs.side[joint] ?? null;
      const asksToo = this.asked.has(other) && !given.has(other);
      const beside = this.nameBeside(other, side);
      if (base === ROOT && !this.naming.isTaken(ROOT.stem))
        this.naming.rename(rule, joint, ROOT.stem);
      else if (beside !== null && !asksToo) this.naming.rename(rule, joint, beside);
      else {
        const [own, opposite] = this.numbered({ ...base, side }, asksToo);
        this.naming.rename(rule, joint, own);
        if (!asksToo || opposite === undefined) continue;
        given.add(other);
        this.naming.rename(this.asked.get(other) ?? rule, other, opposite);
      }
    }
  }

  /** The name of a partner with the other side in it, if it has one and the name is free. */
  private nameBeside(partner: number, side: Side | null): string | null {
    const name = this.naming.names[partner] ?? null;
    if (name === null || side === null || this.asked.has(partner)) return null;
    const content = this.contentOf(partner, name);
    const made = content.side === null ? null : nameBy(this.pattern, { ...content, side });
    return made === null || this.naming.isTaken(made) ? null : made;
  }

  private baseOf(joint: number, name: string): Base {
    const { stem, number } = this.contentOf(joint, name);
    return { stem, first: numberAfter(number) };
  }

  /** A side counts where pairs show that names tell sides. */
  private contentOf(joint: number, name: string): NameContent {
    return contentOf(this.pattern, name, this.pairs.named[joint] != null);
  }

  /** The name with the smallest number that is free, on both sides where a partner takes the other. */
  private numbered(
    content: { stem: string; side: Side | null; first?: number; number?: string | null },
    both: boolean,
  ): [string, ...string[]] {
    const { stem, side } = content;
    const first = content.first ?? numberAfter(content.number ?? null);
    const make = (number: number): [string, ...string[]] => {
      const written = { stem, number: String(number).padStart(this.pattern.digits, '0'), side };
      const two = both ? this.bothBy(written) : null;
      // What cannot carry a side by the pattern goes without.
      return two ?? [nameBy(this.pattern, written) ?? this.sideless(written)];
    };
    return make(this.naming.taken.freeNumber(first, `${side} ${both} ${stem}`, make));
  }

  private sideless(content: NameContent): string {
    return nameBy(this.pattern, { ...content, side: null }) ?? content.stem;
  }

  private bothBy(content: NameContent): [string, string] | null {
    if (content.side === null) return null;
    const other = content.side === 'left' ? 'right' : 'left';
    const [a, b] = [
      nameBy(this.pattern, content),
      nameBy(this.pattern, { ...content, side: other }),
    ];
    return a === null || b === null ? null : [a, b];
  }
}

const ROOT: Base = { stem: 'root', first: 2 };
