import { limitsOfAll } from '../../check/settings.js';
import { percentage } from '../../kit/figures.js';
import { wrongParents } from '../../measure/skeleton/wrong-parent.js';
import { visible } from '../../report/visible.js';
import type { Rig } from '../../rig/types.js';
import { type Hanging, hangJoints } from '../joints/hang-joints.js';
import { wouldStretch } from '../joints/would-stretch.js';
import type { MendContext, Mended, Repair } from '../repair.js';

/**
 * Hangs limbs on the joints that their flesh grows from. What a clip did to the limb against the old
 * parent is told against the new one from then on, so that it looks the same.
 */
export const chainParent: Repair = {
  name: 'chain parent',
  tells:
    'A limb that hangs on the wrong joint is hung on the joint that its flesh grows from, and keeps its place in every pose. Curves of clips that move it are sampled again, and the error is reported. Left and right are hung together, or not at all.',
  rules: ['chain.parent'],
  isBold: true,
  mend(context: MendContext): Mended {
    const limit = limitsOfAll(context.settings)('chain.stretch', 'stretch');
    const wanted = context.findings.flatMap(({ rule, rig: index, places }): Hanging[] => {
      const rig = context.model.rigs[index ?? -1];
      if (rig === undefined) return [];
      const facts = context.facts(rig);
      const listed = new Set(places.map(({ joint }) => joint));
      return wrongParents(facts)
        .filter(({ joint }) => listed.has(joint))
        .map(({ joint, parent, right }) => {
          const percent = wouldStretch(facts, joint, right);
          // It stretched before as well, where no bone showed it.
          const stretch =
            percent > limit
              ? ` (clips stretch the bone to it by up to ${percentage(percent)})`
              : '';
          const change = {
            rule,
            place: rig.joints.paths[joint] ?? '',
            before: `hung on ${nameOf(rig, parent)}`,
            after: `hung on ${nameOf(rig, right)}, in its place${stretch}`,
          };
          return { facts, joint, home: right, change };
        });
    });
    return hangJoints(context, wanted);
  },
};

function nameOf({ joints }: Rig, joint: number): string {
  return `"${visible(joints.names[joint] ?? '')}"`;
}
