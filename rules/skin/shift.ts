import { type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherRig, type WithOthers } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { type AlongChain, skinAlongChains } from '../../src/measure/skin/shifted-skin.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, line, sameOf } from '../parts.js';

/** A single joint off its skin can be the form of a body; so many in a row are a slip. */
const IN_A_ROW = 2;
/** From so many on in a rig, limbs have to be painted again before anyone can pose it. */
const MANY = 3;
/** How many joints the remedy tells apart. */
const NAMED = 6;

/** Each joint moves the skin beside its own bone. */
export const skinShift = rule({
  id: 'skin.shift',
  level: 'error',
  milder: 'warning',
  title: 'skin of a chain painted one joint too far',
  why: 'Skin that hangs on the next joint bends in the wrong place: a turn of the knee leaves the shin behind or swings the thigh. It looks right until the first joint is turned.',
  formula:
    'The middle of the skin of each joint (its weighted area) in the bind pose, along the chain of bones. The measure is the way from the middle of its own bone to there, as a share of the mean length of its own bone and the bone that its skin lies beside. One joint too far is 100 %. Skin painted as one ring about each joint lies 50 % towards the root and passes. Only two or more joints in a row along a chain, off by more than the limit to the same side, count. Two in a rig give a warning, three or more an error. Joints that branch count only beside such a row. Each rig has one finding.',
  remedy: 'Give the skin beside each bone to the joint at which that bone begins.',
  source: 'common practice',
  limits: {
    back: limit(70, '% of bone', 'middle of the skin too far towards the root'),
    out: limit(40, '% of bone', 'middle of the skin too far outward'),
  },
  // A limb that is laid backwards has the right skin once it is turned round.
  yieldsTo: [{ to: ['chain.direction'], on: 'joints' }],
  check(facts, limits) {
    if (!skinMass(facts).hasMesh) return notApplicable('the rig moves no mesh');
    const rows = skinAlongChains(facts);
    if (rows.length === 0) return notApplicable('no chain of joints moves skin');
    const looked = rows.reduce((sum, row) => sum + row.length, 0);
    const found = shifted(facts, rows, limits);
    const findings = found.map((along): Finding<WithOthers<AlongChain>> => {
      const at = bindPose(facts).places[along.joint] ?? along.centre;
      return {
        place: { kind: 'joint', joint: along.joint },
        // Skin that hangs on a joint too far out bends badly at the end of its bone as well.
        joints: [along.joint, along.next],
        level: found.length >= MANY ? 'error' : 'warning',
        ...against(100 * Math.abs(along.by), limitOf(along, limits), '% of bone'),
        evidence: [line('middle of its skin', [at, along.centre])],
        details: { worst: along, others: [] },
      };
    });
    return judged('joints', looked, findings);
  },
  gather: (_, findings) => gatherRig(findings),
  say({ details: { worst, others }, measured, limit }, words) {
    const where = worst.beside === -1 ? '' : `, beside the bone of ${words.joint(worst.beside)}`;
    const ways = inOrder([worst, ...others]).flatMap(waysOf);
    const given = ways
      .slice(0, NAMED)
      .map(([from, to]) => `from ${words.joint(from)} to ${words.joint(to)}`);
    const more = ways.length > NAMED ? ', and so on along the chain' : '';
    const pairs = given.length === 0 ? '' : `: ${given.join(', ')}${more}`;
    return {
      message: `The skin that ${words.joint(worst.joint)} moves lies ${words.percent(measured)} of a bone too far ${worst.by < 0 ? 'towards the root' : 'outward'}${where} (limit ${words.percent(limit ?? 0)})${sameOf(others, words)}.`,
      remedy: `Give the skin beside each bone to the joint at which that bone begins${pairs}.`,
    };
  },
});

interface Limits {
  readonly back: number;
  readonly out: number;
}

/** Skin in rings about the joints lies towards the root: outward, less is a slip. */
function limitOf({ by }: AlongChain, { back, out }: Limits): number {
  return by < 0 ? back : out;
}

/** Joints in rows past the limit, and those past it that follow on from them over a joint that branches. */
function shifted(
  facts: Facts,
  rows: readonly (readonly AlongChain[])[],
  limits: Limits,
): AlongChain[] {
  const runs = rows.flatMap((row) => runsPast(row, limits));
  const isRow = (run: readonly AlongChain[]): boolean =>
    run.filter(({ branches }) => !branches).length >= IN_A_ROW;
  const { parent, children } = facts.rig.joints;
  const found: AlongChain[] = [];
  /** To which side the skin of each joint found is off. */
  const sides = new Map<number, number>();
  const isNext = ({ joint, by }: AlongChain): boolean =>
    [parent[joint] ?? -1, ...(children[joint] ?? [])].some(
      (other) => sides.get(other) === Math.sign(by),
    );
  let [next, left] = [runs.filter(isRow), runs.filter((run) => !isRow(run))];
  while (next.length > 0) {
    const more = next.flat();
    found.push(...more);
    for (const { joint, by } of more) sides.set(joint, Math.sign(by));
    next = left.filter((run) => run.some(isNext));
    left = left.filter((run) => !run.some(isNext));
  }
  return found.sort((a, b) => a.joint - b.joint);
}

/** Joints that follow each other in a row, past the limit to the same side. */
function runsPast(row: readonly AlongChain[], limits: Limits): AlongChain[][] {
  const runs: AlongChain[][] = [];
  let side = 0;
  for (const along of row) {
    const isPast = 100 * Math.abs(along.by) > limitOf(along, limits);
    const here = isPast ? Math.sign(along.by) : 0;
    if (here !== 0 && here === side) runs.at(-1)?.push(along);
    else if (here !== 0) runs.push([along]);
    side = here;
  }
  return runs;
}

/** In an order in which no joint is given skin before its own is taken from it. */
function inOrder(list: readonly AlongChain[]): AlongChain[] {
  const [back, out] = [list.filter(({ by }) => by < 0), list.filter(({ by }) => by > 0)];
  return [...back.sort((a, b) => a.joint - b.joint), ...out.sort((a, b) => b.joint - a.joint)];
}

/** From which joints to which the skin beside their bones goes: what the end of the chain took, too. */
function waysOf({ joint, beside, by, end }: AlongChain): (readonly [number, number])[] {
  const ways: (readonly [number, number])[] = beside === -1 ? [] : [[joint, beside]];
  return by < 0 && end !== -1 ? [...ways, [end, joint]] : ways;
}
