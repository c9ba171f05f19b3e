import { type Finding, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherTwins, type WithTwin } from '../../src/kit/gather-twins.js';
import { alone, rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { bodyRoot } from '../../src/measure/skeleton/body-root.js';
import { lever } from '../../src/measure/skeleton/lever.js';
import { type Limb, limbs, rootIsTip, runFrom } from '../../src/measure/skeleton/limb-direction.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import type { Vec3 } from '../../src/rig/vec3.js';
import { against, limit, line } from '../parts.js';

type LimbDetails = WithTwin<Limb> & { readonly kind: 'limb' };
type Details = { readonly kind: 'rig'; readonly root: number; readonly best: number } | LimbDetails;

/** A limb hung on by its far end has a first bone this much longer than the chain's mean. */
const LONGER = 1.5;
/** Its last joint is where it should hang on: this near, in mean bones. A drooping ear's tip is not. */
const ATTACHED = 1.2;
/** Or under this part of the way to its first joint. */
const NEARER = 0.4;

/** Chains run from the body outward: turning a joint moves what is farther out. */
export const chainDirection = rule({
  id: 'chain.direction',
  level: 'error',
  milder: 'warning',
  title: 'a chain laid backwards',
  why: 'A turn of a joint moves everything after it. When a tail is laid from its tip inward, a turn of the tip swings the whole animal.',
  formula:
    'A limb is laid backwards when two things are true. The flesh of its last joint touches the flesh of the body, and that of its first joint does not. And its first joint is farther from its parent than its last joint is. (The flesh of two joints touches where an edge of the mesh joins vertices that these joints move most.) A limb that is a separate piece of mesh is laid backwards when its first joint is farther from the parent by more than the limit, its first bone is over 1.5 times as long as its mean bone, and its last joint is within 1.2 mean bones of the parent or within 40 % of the distance of its first. Left and right give one finding. A whole rig gives a warning when its body root is the thin end of a chain and its lever is over the limit. Lever: cost(r) = sum over joints of skin mass x path length from r, divided by the smallest cost of any joint.',
  remedy: 'Build the chain again from the body outward, with the root at the middle of the body.',
  source:
    'common practice; values of the lever by hand: uniform chain from its end 2.0, cone from its thick end 1.7, from its thin end 3.4',
  limits: {
    lever: limit(2.2, 'times', 'lever of a body root that is a tip'),
    farther: limit(
      1.25,
      'times',
      "distance of a limb's first joint from its parent, as a multiple of that of its last",
    ),
  },
  check(facts, limits) {
    if (!skinMass(facts).hasMesh) return notApplicable('the rig moves no mesh');
    const hung = limbs(facts);
    const findings = [
      ...judgeRoot(facts, limits.lever),
      ...findingsOf(hung, (limb) => judgeLimb(facts, limb, limits.farther)),
    ];
    return judged('chains', hung.length + 1, findings);
  },
  gather(facts, findings) {
    const whole = findings.filter((finding) => !isLimb(finding));
    return [...whole.map(alone), ...gatherTwins(facts, findings.filter(isLimb))];
  },
  say({ details, measured, limit }, words) {
    const times = words.number(measured);
    if (details.kind === 'rig') {
      const best = words.joint(details.best);
      return {
        message: `The rig is laid from a tip: with ${words.joint(details.root)} as its root the skin lies ${times} times as far away as from ${best} (limit ${limit} times).`,
        remedy: `Make ${best} the root, and build the chains outward from there.`,
      };
    }
    const { worst: limb, twin } = details;
    const parent = words.joint(limb.parent);
    const [first, last] = [words.joint(limb.joint), words.joint(limb.last)];
    const also = twin
      ? `; its twin does the same, from ${words.joint(twin.joint)} to ${words.joint(twin.last)}`
      : '';
    const how =
      limb.flesh === 'turned' ? `; its flesh joins the body at ${last}, not at ${first}` : '';
    return {
      message: `The limb ${first} to ${last} hangs on ${parent} by its far end${how}. From there it is ${words.length(limb.toFirst)} to its first joint and ${words.length(limb.toLast)} to its last, ${times} times as far (${limb.flesh === 'turned' ? 'it should be nearer' : `limit ${limit} times`})${also}.`,
      remedy: `Turn the chain round: hang ${last} on ${parent} and the other joints on it, from the body outward; aim the frames outward again, give the end joint the frame of its parent, and let each joint move the flesh from itself to the next one outward.`,
    };
  },
});

function isLimb(finding: Finding<Details>): finding is Finding<LimbDetails> {
  return finding.details.kind === 'limb';
}

function judgeRoot(facts: Facts, limit: number): Finding<Details>[] {
  const { first: joint } = bodyRoot(facts);
  const measured = lever(facts);
  if (measured === null || !rootIsTip(facts) || measured.value <= limit) return [];
  const { value, best } = measured;
  const points = placesOf(facts, [joint, best]);
  return [
    {
      level: 'warning',
      place: { kind: 'joint', joint },
      ...against(value, limit, 'times'),
      evidence: [line('root as it is and as it should be', points)],
      details: { kind: 'rig', root: joint, best },
    },
  ];
}

function judgeLimb(facts: Facts, limb: Limb, farther: number): Finding<Details> | null {
  const { flesh, toFirst, toLast, meanBone } = limb;
  const ratio = toLast > 0 ? toFirst / toLast : Infinity;
  // A limb that is a separate piece of mesh is judged by how it lies.
  const hungByEnd =
    ratio > farther &&
    toFirst > LONGER * meanBone &&
    toLast <= Math.max(ATTACHED * meanBone, NEARER * toFirst);
  if (flesh === 'joined' || (flesh === 'apart' && !hungByEnd)) return null;
  const { joint } = limb;
  const joints = [limb.parent, ...runFrom(facts, joint)];
  return {
    level: 'error',
    place: { kind: 'joint', joint },
    ...against(ratio, flesh === 'turned' ? 1 : farther, 'times'),
    joints,
    evidence: [line('limb', placesOf(facts, joints))],
    details: { kind: 'limb', worst: limb, twin: null },
  };
}

function placesOf(facts: Facts, joints: readonly number[]): Vec3[] {
  return joints.map((joint) => bonePose(facts).places[joint] ?? [0, 0, 0]);
}
