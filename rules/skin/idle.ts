import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { skinMass } from '../../src/measure/skin-mass.js';

/** A joint that moves nothing is weight in every file and a row in every list. */
export const skinIdle = rule({
  id: 'skin.idle',
  level: 'note',
  title: 'a joint that moves nothing',
  why: 'Each such joint is stored, keyed, sent and worked out in every frame, and animators turn it and wonder.',
  formula:
    'Joints without weight on any vertex, nor any joint below them, that are no end joint. A branch of such joints is told once, at its top.',
  remedy: 'Leave the joints out of the skin, or give them the skin they were meant for.',
  source: 'common practice',
  limits: { joints: { default: 0, unit: 'joints', tells: 'joints that move nothing' } },
  check(facts, limits) {
    const { joints } = facts.rig;
    const { movesBelow, hasMesh } = skinMass(facts);
    if (!hasMesh) return notApplicable('no mesh uses the skin');
    if (!movesBelow.includes(1)) return notApplicable('no joint moves any vertex');
    const inner = joints.children.flatMap((children, joint) =>
      children.length > 0 ? [joint] : [],
    );
    const idle = inner.filter((joint) => movesBelow[joint] === 0);
    const findings = branches(idle, joints.parent).map(({ joint, list }) => ({
      level: 'note' as const,
      place: { kind: 'joint' as const, joint },
      measured: idle.length,
      limit: limits.joints,
      unit: 'joints' as const,
      joints: list,
      counts: { looked: inner.length, short: list.length },
      details: { joint, list },
    }));
    return judged('joints', inner.length, idle.length > limits.joints ? findings : [], idle.length);
  },
  say(finding, words) {
    const { joint, list } = finding.details;
    const more = list.length > 1 ? ` and ${words.count(list.length - 1, 'joint')} below it` : '';
    const verb = list.length > 1 ? 'move' : 'moves';
    return {
      message: `${words.joint(joint)}${more} ${verb} no vertex, nor does any joint below (${words.count(finding.measured, 'such joint')} in the rig, limit ${finding.limit}).`,
      remedy: 'Leave them out of the skin, or give them the skin they were meant for.',
    };
  },
});

/** Joints by the topmost one of their branch. Parents stand before their children. */
function branches(
  joints: readonly number[],
  parent: Int32Array,
): { joint: number; list: number[] }[] {
  const branchOf = new Map<number, { joint: number; list: number[] }>();
  for (const joint of joints) {
    const branch = branchOf.get(parent[joint] ?? -1) ?? { joint, list: [] };
    branch.list.push(joint);
    branchOf.set(joint, branch);
  }
  return [...new Set(branchOf.values())];
}
