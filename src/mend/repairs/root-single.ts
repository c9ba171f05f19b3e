import type { Facts } from '../../measure/facts.js';
import { skinMass } from '../../measure/skin/skin-mass.js';
import { visible } from '../../report/visible.js';
import { type Hanging, hangJoints } from '../joints/hang-joints.js';
import { leaveOut } from '../joints/leave-out.js';
import { raiseRoot } from '../joints/raise-root.js';
import { rootWay } from '../joints/root-way.js';
import { Ground } from '../reframe/ground.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

const RULE = 'root.single';

/** Gives a rig one topmost joint: see `rootWay` for which, and when it is a new one. */
export const rootSingle: Repair = {
  name: 'one root',
  tells:
    'Joints beside the root that move no skin are removed from the skin. Those that move skin hang on the joint whose flesh is nearest, in their places. Where the bone to it would stretch in a clip, and in flat rigs, one new joint at zero is put above all topmost joints.',
  rules: [RULE],
  isBold: true,
  mend(context: MendContext): Mended {
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const hung: Hanging[] = [];
    const ground = new Ground(context);
    for (const rig of context.model.rigs) {
      const found = context.findings.filter((finding) => finding.rig === rig.index);
      const places = found.flatMap((finding) => finding.places);
      const joints = [...new Set(places.flatMap(({ joint }) => joint ?? []))];
      if (joints.length === 0) continue;
      const facts = context.facts(rig);
      const place = (joint: number): string => rig.joints.paths[joint] ?? '';
      const name = (joint: number): string => `"${visible(rig.joints.names[joint] ?? '')}"`;
      const isTop = (joint: number): boolean => rig.joints.parent[joint] === -1;
      const { gone, why } = leaveOut(context, rig, idleAmong(facts, joints, isTop));
      for (const [joint, reason] of why)
        if (!isTop(joint)) left.push({ rule: RULE, place: place(joint), why: reason });
      const before = 'a joint that moves no skin, beside the body';
      const after = 'removed from the skin; the node stays';
      for (const joint of gone) changes.push({ rule: RULE, place: place(joint), before, after });
      const extra = joints.filter(isTop);
      // Without the joints that are gone it may be another finding: the next round looks at it.
      if (gone.length > 0 || extra.length === 0) continue;
      const way = rootWay(context, ground, facts, extra);
      if ('why' in way) left.push({ rule: RULE, place: rig.name, why: way.why });
      else if ('root' in way) {
        raiseRoot(context.edit, way.root);
        changes.push({
          rule: RULE,
          place: rig.name,
          before: `${extra.length + 1} topmost joints`,
          after: `all below a new joint "${way.root.name}" at zero (${way.because})`,
        });
      } else
        for (const { joint, parent } of way.homes)
          hung.push({
            facts,
            joint,
            home: parent,
            change: {
              rule: RULE,
              place: place(joint),
              before: 'a second topmost joint',
              after: `hung on ${name(parent)}, in its place`,
            },
          });
    }
    const hanging = hangJoints(context, hung);
    return { changes: [...changes, ...hanging.changes], left: [...left, ...hanging.left] };
  },
};

/** Joints that can be left out: controls, and extra topmost joints of which none moves skin. */
function idleAmong(
  facts: Facts,
  joints: readonly number[],
  isTop: (joint: number) => boolean,
): number[] {
  const { movesBelow } = skinMass(facts);
  const isFlesh = joints.some((joint) => isTop(joint) && movesBelow[joint] === 1);
  return joints.filter((joint) => movesBelow[joint] === 0 && !(isFlesh && isTop(joint)));
}
