import type { Rig } from '../../rig/types.js';
import type { Change, LeftAlone } from '../repair.js';
import { spell } from './side-spelling.js';

/** The names of all nodes of a file, joints or not. */
export class TakenNames extends Set<string> {
  /** Smallest number that may be free, by what it is for. */
  private readonly next = new Map<string, number>();

  /**
   * The smallest number with which all names made are free. A name once taken stays so. Numbers are
   * therefore tried on from the last found: thousands of joints of one name take no longer each than a few.
   *
   * @param make Always the same for one `first` and `key`.
   */
  freeNumber(first: number, key: string, make: (number: number) => readonly string[]): number {
    const purpose = `${first} ${key}`;
    let number = this.next.get(purpose) ?? first;
    while (make(number).some((name) => this.has(name))) number++;
    // It is not taken yet, and need not be.
    this.next.set(purpose, number);
    return number;
  }
}

/** The names of one rig while they are changed. */
export class Naming {
  readonly changes: Change[] = [];
  readonly left: LeftAlone[] = [];
  /** By joint; null where a joint has none. */
  readonly names: (string | null)[];

  constructor(
    private readonly rig: Rig,
    readonly taken: TakenNames,
    private readonly referredTo: ReadonlySet<string>,
  ) {
    const { names, named } = rig.joints;
    this.names = names.map((name, joint) => (named[joint] === true ? name : null));
  }

  /** @param note What people should know of the name; empty for nothing. */
  rename(rule: string, joint: number, name: string, note = ''): void {
    const old = this.names[joint] ?? null;
    if (old !== null && this.referredTo.has(old)) {
      this.leave(rule, joint, 'an extension or extras refer to it by its name');
      return;
    }
    this.names[joint] = name;
    this.taken.add(name);
    const place = this.rig.joints.paths[joint] ?? '';
    const before = old === null ? 'no name' : `"${old}"`;
    const after = `"${name}"${note}`;
    this.changes.push({ rule, place, before, after });
  }

  leave(rule: string, joint: number, why: string): void {
    this.left.push({ rule, place: this.rig.joints.paths[joint] ?? '', why });
  }

  isTaken(name: string): boolean {
    return this.taken.has(name);
  }

  /** The name with the smallest number, from 2 on, that no node has. */
  numbered(name: string): string {
    const number = this.taken.freeNumber(2, name, (tried) => [withNumber(name, tried)]);
    return withNumber(name, number);
  }
}

/** A side at the end of a name stays there: mirroring by name looks for it. */
function withNumber(name: string, number: number): string {
  const spelt = spell(name);
  if (spelt === null || !spelt.apart || spelt.after !== '') return `${name}_${number}`;
  const [stem = '', separator = ''] =
    /^(.*?)([^\p{L}\p{N}]*)$/su.exec(spelt.before)?.slice(1) ?? [];
  return stem === '' ? `${name}_${number}` : `${stem}_${number}${separator}${spelt.token}`;
}
