import { atJoints, type Finding, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { groupBy } from '../../src/rig/group-by.js';
import { against, limit, mostWords } from '../parts.js';

/** Joints of one name whose paths a message shows. */
const NAMED = 3;

/** Two joints of one name: whoever asks for it gets the wrong one half of the time. */
export const nameDuplicate = rule({
  id: 'name.duplicate',
  level: 'warning',
  title: 'joints that share a name',
  why: 'Clips and sockets find joints by name and take the first one with that name. Many programs rename one of the two without a message.',
  formula:
    'Joints of a rig whose names are equal, letter for letter. Each rig has one finding, at the second joint with the name that most joints share.',
  remedy: 'Give every joint a name of its own.',
  source: 'common practice; glTF 2.0 does not ask names to be unique',
  limits: { joints: limit(0, 'joints', 'joints with the same name, beside the first') },
  check(facts, limits) {
    const { joints } = facts.rig;
    const named = Array.from(joints.named.keys()).filter((joint) => joints.named[joint] === true);
    const bearers = groupBy(named, (joint) => joints.names[joint]);
    const shared = [...bearers.values()].filter((list) => list.length - 1 > limits.joints);
    const [worst] = [...shared].sort((a, b) => b.length - a.length);
    if (worst === undefined) return judged('joints', joints.count, []);
    const all = shared.flat().sort((a, b) => a - b);
    const further = all.length - shared.length;
    const others = shared.filter((list) => list !== worst).map((list) => list[0] ?? 0);
    const paths = worst.slice(0, NAMED).map((joint) => joints.paths[joint] ?? '');
    const finding: Finding<{ worst: number[]; paths: string[]; others: number[] }> = {
      ...atJoints(all, worst[1]),
      level: 'warning',
      ...against(further, limits.joints, 'joints'),
      details: { worst, paths, others },
    };
    return judged('joints', joints.count, [finding], further);
  },
  say({ details: { worst, paths, others }, limit }, words) {
    const more = worst.length > paths.length ? ` and ${worst.length - paths.length} more` : '';
    const also =
      others.length === 0
        ? ''
        : `; ${words.count(others.length, 'other name')} ${others.length === 1 ? 'is' : 'are'} shared, too: ${words.joints(others)}`;
    return {
      message: `${worst.length} joints are named ${words.joint(worst[0] ?? 0)} (${mostWords(limit)} beside the first): ${paths.join(', ')}${more}${also}.`,
      remedy: 'Give each a name of its own.',
    };
  },
});
