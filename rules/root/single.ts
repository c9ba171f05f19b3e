import {
  atJoints,
  type Finding,
  jointPlaces,
  judged,
  notApplicable,
} from '../../src/kit/finding.js';
import { HOMES, homeWords } from '../../src/kit/home-words.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { bodyRoot } from '../../src/measure/skeleton/body-root.js';
import { type Home, homesOf } from '../../src/measure/skin/flesh-parent.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, mostWords } from '../parts.js';

/** One root carries everything: whoever moves the character moves one joint. */
export const rootSingle = rule({
  id: 'root.single',
  level: 'error',
  milder: 'note',
  title: 'more than one topmost joint in a rig',
  why: 'When the root moves or turns, the whole body must follow. What hangs on a second topmost joint stays behind.',
  formula:
    'Topmost joints are the joints with no joint above them. The finding is an error when an extra one moves skin, itself or below, or when no node is above all joints. It is a warning when the extra ones move nothing (control joints that were left in the export), and for a flat rig, where every joint is a topmost joint below one node. It is a note for end joints that hang directly under the root, move no skin and are posed by no clip. Each rig has one finding of each kind.',
  remedy:
    'Hang each extra topmost joint on the joint whose flesh is nearest, or leave control joints out of the export.',
  source: 'glTF 2.0, 3.7.3.2 Joint Hierarchy (a common root is a MUST); one root: common practice',
  limits: { joints: limit(1, 'joints', 'topmost joints in a rig') },
  check(facts, limits) {
    const { count } = facts.rig.joints;
    if (count === 0) return notApplicable('the rig has no joints');
    const { tops, main } = bodyRoot(facts);
    const extra = tops.filter((joint) => joint !== main);
    const moving = extra.filter((joint) => skinMass(facts).movesBelow[joint] === 1);
    const apart = !facts.rig.hasCommonRoot;
    const flat = !apart && tops.length === count;
    const fails = tops.length > limits.joints || apart;
    const homes = fails ? homesOf(facts, moving.slice(0, HOMES)) : [];
    const findings: Finding<Details>[] = [];
    if (fails)
      findings.push({
        level: apart || (moving.length > 0 && !flat) ? 'error' : 'warning',
        place: { kind: 'rig' },
        places: [{ kind: 'rig' }, ...jointPlaces(extra)],
        ...against(tops.length, limits.joints, 'joints'),
        joints: extra,
        counts: { looked: tops.length, short: extra.length },
        details: { kind: 'tops', main, extra, moving: moving.length, apart, flat, homes },
      });
    const controls = idleControls(facts);
    if (controls.length > 0)
      findings.push({
        ...atJoints(controls),
        level: 'note',
        aspect: 'controls',
        ...against(controls.length, 0, 'joints'),
        counts: { looked: count, short: controls.length },
        details: { kind: 'controls', controls },
      });
    const short = (fails ? extra.length : 0) + controls.length;
    return judged('joints', count, findings, short);
  },
  say({ details, measured, limit }, words) {
    if (details.kind === 'controls') {
      const { controls } = details;
      const [hang, move, them] =
        controls.length === 1 ? ['hangs', 'moves', 'it'] : ['hang', 'move', 'them'];
      return {
        message: `${words.joints(controls)} ${hang} directly under the root and ${move} no skin, and no clip poses ${them} (${mostWords(limit, 'such joints')}).`,
        remedy: 'Leave control joints out of the export.',
      };
    }
    const { main, extra, moving, apart, flat, homes } = details;
    const move = extra.length === 1 ? 'moves' : 'move';
    const kind =
      moving === 0
        ? `that ${move} no skin (control joints left in the export?)`
        : moving === extra.length
          ? `that ${move} skin`
          : `of which ${moving} ${moving === 1 ? 'moves' : 'move'} skin`;
    const tail = apart
      ? ', and no node is above them all (glTF 2.0 asks for a common root)'
      : flat
        ? ', so no joint moves another'
        : '';
    return {
      message: `The rig has ${measured} topmost joints (limit ${limit}): besides ${words.joint(main)} there ${extra.length === 1 ? 'is' : 'are'} ${extra.length} ${kind}: ${words.joints(extra)}${tail}.`,
      remedy:
        moving === 0
          ? `Leave them out of the export, or hang them on ${words.joint(main)}.`
          : `Hang each on the joint whose flesh is nearest, and keep it in its place: ${homeWords(homes, moving, words)}.`,
    };
  },
});

type Details =
  | {
      readonly kind: 'tops';
      readonly main: number;
      readonly extra: readonly number[];
      /** How many of these move skin. */
      readonly moving: number;
      readonly apart: boolean;
      /** Whether every joint of the rig is topmost. */
      readonly flat: boolean;
      /** The first few of those that move skin, each with the joint to hang it on. */
      readonly homes: readonly Home[];
    }
  | { readonly kind: 'controls'; readonly controls: readonly number[] };

/** End joints right below a topmost joint or a carrier that nothing uses: no skin, no clip. */
function idleControls(facts: Facts): number[] {
  const { joints, clips } = facts.rig;
  const { moves, hasMesh } = skinMass(facts);
  if (!hasMesh) return [];
  const { tops, carriers } = bodyRoot(facts);
  const roots = new Set([...tops, ...carriers]);
  return Array.from(joints.node).flatMap((node, joint) => {
    if (!roots.has(joints.parent[joint] ?? -1) || moves[joint] === 1) return [];
    if ((joints.children[joint] ?? []).length > 0) return [];
    // The tip of a joint with skin is its chain's end.
    if (moves[joints.parent[joint] ?? -1] === 1) return [];
    return clips.some(({ keyed }) => keyed.has(node)) ? [] : [joint];
  });
}
