import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';

/** Two joints of one name: whoever asks for it gets the wrong one half of the time. */
export const nameDuplicate = rule({
  id: 'name.duplicate',
  level: 'warning',
  title: 'joints that share a name',
  why: 'Clips and sockets find joints by name and take the first they meet. Many programs rename one of the two in silence.',
  formula:
    'Joints of a rig whose names are equal, letter for letter. One finding a name, at the second joint that bears it.',
  remedy: 'Give every joint a name of its own.',
  source: 'common practice; glTF 2.0 does not ask names to be unique',
  limits: { joints: { default: 0, unit: 'joints', tells: 'further joints of the same name' } },
  check(facts, limits) {
    const { joints } = facts.rig;
    const bearers = new Map<string, number[]>();
    joints.names.forEach((name, joint) => {
      if (joints.named[joint] !== true) return;
      const list = bearers.get(name);
      if (list === undefined) bearers.set(name, [joint]);
      else list.push(joint);
    });
    const findings = [...bearers.values()].flatMap((list) => {
      const second = list[1];
      if (second === undefined || list.length - 1 <= limits.joints) return [];
      return [
        {
          level: 'warning' as const,
          place: { kind: 'joint' as const, joint: second },
          measured: list.length - 1,
          limit: limits.joints,
          unit: 'joints' as const,
          joints: list,
          counts: { looked: list.length, short: list.length - 1 },
          details: { list, paths: list.slice(0, 3).map((joint) => joints.paths[joint] ?? '') },
        },
      ];
    });
    const short = findings.reduce((sum, finding) => sum + finding.measured, 0);
    return judged('joints', joints.count, findings, short);
  },
  say(finding, words) {
    const { list, paths } = finding.details;
    const more = list.length > paths.length ? ` and ${list.length - paths.length} more` : '';
    return {
      message: `${list.length} joints are named ${words.joint(list[0] ?? 0)} (limit ${finding.limit} beside the first): ${paths.join(', ')}${more}.`,
      remedy: 'Give each a name of its own.',
    };
  },
});
