import { literalPattern } from '../../house/asset-pattern.js';
import { significant } from '../../kit/figures.js';
import type { Rule } from '../../kit/rule.js';
import { visible } from '../../report/visible.js';
import { CONTRACT_LIMITS, type ContractLimit } from '../contract-limits.js';
import { rigList } from './agreement.js';
import type { Loosening } from './loosening.js';
import type { RigSeen } from './rig-seen.js';
import { commentLines, quotedList } from './words.js';

/** A number of one rig that is the least or the most of all. */
interface Extreme {
  readonly value: number;
  readonly rig: string;
}

interface Range {
  readonly least: Extreme;
  readonly most: Extreme;
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
  readonly sizes: Range | null;
  /** The same of their heights; null where no rig has a mesh. */
  readonly heights: Range | null;
  readonly most: Readonly<
    Record<'joints' | 'tops' | 'skinJoints' | 'influences' | 'clips', Extreme>
  >;
}

export function contractFacts(seen: readonly RigSeen[]): ContractFacts {
  const joints = sharedAndOthers(seen.map(({ names }) => names));
  const clips = sharedAndOthers(seen.map((rig) => rig.clips));
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
    sizes: rangeOf(seen, ({ size }) => size),
    heights: rangeOf(seen, ({ height }) => height),
    most: {
      joints: mostOf((rig) => rig.joints),
      tops: mostOf((rig) => rig.tops),
      skinJoints: mostOf((rig) => rig.skinJoints),
      influences: mostOf((rig) => rig.influences),
      clips: mostOf((rig) => rig.clips.length),
    },
  };
}

function rangeOf(seen: readonly RigSeen[], measure: (rig: RigSeen) => number): Range | null {
  const all = seen
    .map((rig): Extreme => ({ value: measure(rig), rig: rig.rig }))
    .filter(({ value }) => Number.isFinite(value) && value > 0)
    .sort((a, b) => a.value - b.value);
  const [least, most] = [all[0], all.at(-1)];
  return least && most ? { least, most } : null;
}

function sharedAndOthers(lists: readonly (readonly string[])[]) {
  const [first = [], ...rest] = lists.map((list) => new Set(list));
  const shared = [...first].filter((name) => rest.every((names) => names.has(name)));
  const isShared = new Set(shared);
  const others = [...new Set(lists.flat())].filter((name) => !isShared.has(name));
  return { shared, others };
}

/** A contract takes no longer list; more joints than that are nobody's contract. */
const MOST_NAMES = 500;

/** Rigs of one kind differ in height; mixed-up units make them 2.54 times as high at least, and mostly 100. */
const ROOM = 2;

/** The part of a standard that is its contract, as lines: what all these rigs have, and the most of them. */
export function contractOf(
  facts: ContractFacts,
  loosening: Loosening,
  rules: readonly Rule[],
): string[] {
  const { sharedJoints, otherJoints, sharedClips, otherClips, most, heights } = facts;
  const others = [
    ...(otherJoints > 0 ? [`Names of joints that only some rigs have: ${otherJoints}.`] : []),
    ...(otherClips.length > 0
      ? [`Clips that only some rigs have (${otherClips.length}): ${quotedList(otherClips, SOME)}.`]
      : []),
    `Joints of a skin at most: ${most.skinJoints.value}; that move one vertex: ${most.influences.value}; without a parent: ${most.tops.value}.`,
  ];
  return [
    ...commentLines(
      'What must be in a rig: joints and clips that all these rigs have, no more of them than any has, and a height from half of the lowest to twice the highest.',
    ),
    ...others.flatMap(commentLines),
    '"contract": {',
    ...inside([
      '"joints": {',
      ...inside([
        ...required(sharedJoints),
        mostOf(most.joints),
        ...CONTRACT_LIMITS.flatMap((one) => limitLine(rules, loosening, one)),
      ]),
      '},',
      '"clips": {',
      ...inside(most.clips.value === 0 ? [] : [...required(sharedClips), mostOf(most.clips)]),
      heights === null ? '}' : '},',
      ...(heights === null ? [] : heightLines(heights)),
    ]),
    '}',
  ];
}

function mostOf({ value, rig }: Extreme): string {
  return `"most": ${value}, // ${rigList([rig])}`;
}

/**
 * What a rule allows by default, or what was granted so that all rigs are sound. Not simply the most that
 * any has: who has three joints a vertex has not decided against a fourth.
 */
function limitLine(rules: readonly Rule[], loosening: Loosening, one: ContractLimit): string[] {
  const spec = rules.find(({ id }) => id === one.rule)?.limits[one.limit];
  if (spec === undefined) return [];
  const granted = loosening.limits.get(one.rule)?.get(one.limit);
  if (granted === undefined) return [`"${one.key}": ${spec.default},`];
  const why = `${significant(granted.measured)} in ${rigList([granted.rig])}; by default ${spec.default}`;
  return [`"${one.key}": ${granted.value}, // ${why}`];
}

function inside(lines: readonly string[]): string[] {
  return lines.map((line) => `  ${line}`);
}

/** Names as patterns that stand for themselves alone. */
function required(names: readonly string[]): string[] {
  if (names.length === 0) return [];
  if (names.length > MOST_NAMES)
    return commentLines(`${names.length} names are too many to require.`);
  const quoted = names.map((name) => visible(JSON.stringify(literalPattern(name))));
  return ['"required": [', ...inside(quoted.map((name) => `${name},`)), '],'];
}

function heightLines({ least, most }: NonNullable<ContractFacts['heights']>): string[] {
  const range = { from: rounded(least.value / ROOM), to: rounded(most.value * ROOM) };
  return [
    ...commentLines(
      `The lowest rig is ${significant(least.value)} high (${rigList([least.rig])}), the highest ${significant(most.value)} (${rigList([most.rig])}).`,
    ),
    `"height": { "from": ${range.from}, "to": ${range.to}, "unit": "m" }`,
  ];
}

function rounded(value: number): number {
  return Number(value.toPrecision(3));
}

/** `0.8 (a.glb) to 2.4 (b.glb)`: sizes of the rigs, in units of the file. */
export function sizeWords({ least, most }: NonNullable<ContractFacts['sizes']>): string {
  const one = ({ value, rig }: Extreme): string => `${significant(value)} (${rigList([rig])})`;
  const isOne = significant(least.value) === significant(most.value);
  return isOne ? one(least) : `${one(least)} to ${one(most)}`;
}
