import { significant } from '../../kit/figures.js';
import { rigList } from './agreement.js';
import type { RigSeen } from './rig-seen.js';
import { ALL_NAMES, commentLines, quotedList } from './words.js';

/** A number of one rig that is the least or the most of all. */
interface Extreme {
  readonly value: number;
  readonly rig: string;
}

/** Names of what only some rigs have that a comment lists. */
const SOME = 20;

/** What a contract can ask for, as approved rigs have it. */
export interface ContractFacts {
  readonly rigs: number;
  /** Names of joints that every rig has, in the order of the first. */
  readonly sharedJoints: readonly string[];
  /** How many names of joints only some have. */
  readonly otherJoints: number;
  /** Names of clips that every rig has, and that only some have. */
  readonly sharedClips: readonly string[];
  readonly otherClips: readonly string[];
  /** In units of the files; null where no rig has a size. */
  readonly sizes: { readonly least: Extreme; readonly most: Extreme } | null;
  readonly most: Readonly<
    Record<'joints' | 'tops' | 'skinJoints' | 'influences' | 'clips', Extreme>
  >;
}

export function contractFacts(seen: readonly RigSeen[]): ContractFacts {
  const joints = sharedAndOthers(seen.map(({ names }) => names));
  const clips = sharedAndOthers(seen.map((rig) => rig.clips));
  const sizes = seen
    .filter(({ size }) => Number.isFinite(size) && size > 0)
    .map(({ size: value, rig }): Extreme => ({ value, rig }))
    .sort((a, b) => a.value - b.value);
  const [least, most] = [sizes[0], sizes.at(-1)];
  const mostOf = (count: (rig: RigSeen) => number): Extreme =>
    seen.reduce<Extreme>(
      (so, rig) => (count(rig) > so.value ? { value: count(rig), rig: rig.rig } : so),
      { value: 0, rig: seen[0]?.rig ?? '' },
    );
  return {
    rigs: seen.length,
    sharedJoints: joints.shared,
    otherJoints: joints.others.length,
    sharedClips: clips.shared,
    otherClips: clips.others,
    sizes: least && most ? { least, most } : null,
    most: {
      joints: mostOf((rig) => rig.joints),
      tops: mostOf((rig) => rig.tops),
      skinJoints: mostOf((rig) => rig.skinJoints),
      influences: mostOf((rig) => rig.influences),
      clips: mostOf((rig) => rig.clips.length),
    },
  };
}

function sharedAndOthers(lists: readonly (readonly string[])[]) {
  const [first = [], ...rest] = lists.map((list) => new Set(list));
  const shared = [...first].filter((name) => rest.every((names) => names.has(name)));
  const isShared = new Set(shared);
  const others = [...new Set(lists.flat())].filter((name) => !isShared.has(name));
  return { shared, others };
}

/**
 * The part of a standard that is its contract, as lines: what the rigs have, in comments, as long as
 * a standard has no keys for it.
 */
export function contractOf(facts: ContractFacts): string[] {
  const { rigs, sharedJoints, otherJoints, sharedClips, otherClips, most } = facts;
  const count = ({ value, rig }: Extreme): string =>
    value === 0 ? 'none' : `${value} (${rigList([rig])})`;
  const list = (what: string, names: readonly string[], shown = ALL_NAMES): string[] =>
    names.length === 0 ? [] : [`${what} (${names.length}): ${quotedList(names, shown)}.`];
  const all = rigs === 1 ? 'of the rig' : 'that all rigs have';
  return [
    'What else there is to see. A standard has no keys for it, so nothing is checked against it.',
    `Most joints of a rig: ${count(most.joints)}; of a skin: ${count(most.skinJoints)}; that move one vertex: ${count(most.influences)}; without a parent: ${count(most.tops)}. Most clips: ${count(most.clips)}.`,
    ...(sharedJoints.length === 0 ? ['No name of a joint is in all rigs.'] : []),
    ...list(`Joints ${all}`, sharedJoints),
    ...(otherJoints > 0 ? [`Names of joints that only some rigs have: ${otherJoints}.`] : []),
    ...list(`Clips ${all}`, sharedClips),
    ...list('Clips that only some rigs have', otherClips, SOME),
  ].flatMap(commentLines);
}

/** `0.8 (a.glb) to 2.4 (b.glb)`: sizes of the rigs, in units of the file. */
export function sizeWords({ least, most }: NonNullable<ContractFacts['sizes']>): string {
  const one = ({ value, rig }: Extreme): string => `${significant(value)} (${rigList([rig])})`;
  const isOne = significant(least.value) === significant(most.value);
  return isOne ? one(least) : `${one(least)} to ${one(most)}`;
}
