import { atJoints, type Finding, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { alignment } from '../../src/measure/fit/alignment.js';
import { counterparts } from '../../src/measure/fit/counterparts.js';
import { differences, type Rehung } from '../../src/measure/fit/differences.js';
import { groupBy } from '../../src/rig/group-by.js';
import { against, limit, line } from '../parts.js';
import { approvedNames, heldTo, whyNotCompared } from './with-approved.js';

/** A key turns a joint against what it hangs on: under another parent it is another turn. */
export const fitParent = rule({
  id: 'fit.parent',
  level: 'error',
  title: 'a joint that hangs on another joint than in the approved rig',
  why: 'A clip turns each joint against its parent. Under another parent, the same keys take the joint elsewhere, and a clip that finds joints by their path does not find it at all.',
  formula:
    'The parent of each joint that answers to one of the approved rig, against the joint that answers to the parent there. Where that one is missing, the nearest joints above that answer to each other count. Joints that moved from one parent to another have one finding.',
  remedy: 'Hang the joint on the parent that it has in the approved rig, and keep it in its place.',
  source: 'glTF 2.0, 3.5.2 Transformations (a local transform is relative to its parent)',
  limits: { joints: limit(0, 'joints', 'joints that hang on another joint') },
  onApproved: true,
  check(facts, limits) {
    const not = whyNotCompared(facts);
    if (not !== null) return not;
    const { list, rehung } = differences(facts);
    const { parent } = facts.rig.joints;
    const found = counterparts(facts);
    const theirs = approvedNames(facts);
    const looked = list.length + rehung.length;
    if (rehung.length <= limits.joints) return judged('joints', looked, []);
    const places = alignment(facts)?.rig.places ?? [];
    const moves = groupBy(rehung, ({ joint, wanted }) => `${wanted} ${parent[joint] ?? -1}`);
    const findings = [...moves.values()].flatMap((moved): Finding<Details>[] => {
      const [first] = moved;
      if (first === undefined) return [];
      const joints = moved.map(({ joint }) => joint);
      const above = parent[first.joint] ?? -1;
      const [from, to] = [places[first.joint], places[first.wanted]];
      return [
        {
          ...atJoints(joints),
          anchor: { kind: 'joint', joint: first.joint },
          level: 'error',
          ...against(joints.length, limits.joints, 'joints'),
          evidence: from && to ? [line('parent in the approved rig', [to, from])] : [],
          details: {
            ...first,
            joints,
            above,
            isNew: above !== -1 && found?.ofRig[above] === -1,
            theirs: approvedParent(facts.approved?.rig?.joints.parent, first, theirs.joint),
          },
        },
      ];
    });
    return judged('joints', looked, findings);
  },
  say({ details: { joints, above, isNew, wanted, theirs }, limit }, words) {
    const one = joints.length === 1;
    const hangs = `${words.joints(joints)} ${one ? 'hangs' : 'hang'} on ${above === -1 ? 'no joint' : words.joint(above)}`;
    const there = theirs === null ? 'no joint' : theirs;
    const how = isNew
      ? `${hangs}, which the approved rig does not have. There ${one ? 'it hangs' : 'they hang'} on ${there}`
      : `${hangs}, and in the approved rig on ${there}`;
    const to =
      wanted === -1 ? 'Take it out from under its parent' : `Hang it on ${words.joint(wanted)}`;
    return {
      message: `${how}${heldTo(limit ?? 0, words)}.`,
      remedy: `${one ? to : to.replace(' it ', ' them ').replace('its parent', 'their parent')}, and keep ${one ? 'it in its place' : 'them in their places'}.`,
    };
  },
});

interface Details extends Rehung {
  readonly joints: readonly number[];
  readonly above: number;
  /** Whether the approved rig has no such parent. */
  readonly isNew: boolean;
  /** The parent in the approved rig, as it is called there; null for none. */
  readonly theirs: string | null;
}

function approvedParent(
  parents: Int32Array | undefined,
  { approved }: Rehung,
  name: (joint: number) => string,
): string | null {
  const parent = parents?.[approved] ?? -1;
  return parent === -1 ? null : name(parent);
}
