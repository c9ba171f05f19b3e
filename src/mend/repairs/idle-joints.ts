import { skinMass } from '../../measure/skin/skin-mass.js';
import { counted } from '../../report/finding-words.js';
import type { Rig } from '../../rig/types.js';
import { dropSlots } from '../joints/drop-slots.js';
import { droppableJoints } from '../joints/droppable-joints.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

const RULE = 'skin.idle';

/**
 * Takes joints that move nothing, nor any joint below them, out of the skins that list them, each
 * branch with its end joints. The nodes stay, with all that hangs on them and their clips.
 */
export const idleJoints: Repair = {
  name: 'idle joints',
  tells: 'Joints that move nothing are removed from the skin. Their nodes stay.',
  rules: [RULE],
  isBold: true,
  mend({ edit, model, facts, findings }: MendContext): Mended {
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const dropped = new Map<number, Set<number>>();
    for (const rig of model.rigs) {
      if (!findings.some((finding) => finding.rig === rig.index)) continue;
      const { movesBelow } = skinMass(facts(rig));
      const idle = rig.joints.children.map(
        (children, joint) => children.length > 0 && movesBelow[joint] === 0,
      );
      const { going, why } = droppableJoints(edit, model, rig, idle);
      for (const branch of branchesOf(rig, idle)) {
        const place = rig.joints.paths[branch[0] ?? -1] ?? '';
        const gone = branch.filter((joint) => going.has(joint));
        const kept = branch.filter((joint) => idle[joint] === true && !going.has(joint));
        if (gone.length > 0) {
          const before = `${counted(gone.length, 'joint')} that ${gone.length === 1 ? 'moves' : 'move'} nothing`;
          changes.push({
            rule: RULE,
            place,
            before,
            after: 'removed from the skin; the nodes stay',
          });
        }
        if (kept.length > 0) {
          const stay = `${counted(kept.length, 'joint')} ${kept.length === 1 ? 'stays' : 'stay'}`;
          left.push({ rule: RULE, place, why: `${stay}: ${reasonsOf(rig, kept, why)}` });
        }
      }
      for (const { index, slotOfJoint } of rig.skins) {
        const slots = Array.from(going, (joint) => slotOfJoint[joint] ?? -1);
        const listed = slots.filter((slot) => slot !== -1).sort((a, b) => a - b);
        if (listed.length > 0) dropped.set(index, new Set(listed));
      }
    }
    if (dropped.size > 0) dropSlots(edit, dropped);
    return { changes, left };
  },
};

/** Idle joints with the end joints below them, branch by branch, each from its top down. */
function branchesOf({ joints }: Rig, idle: readonly boolean[]): Set<number[]> {
  const branchOf = new Map<number, number[]>();
  // Parents come before their children.
  for (let joint = 0; joint < joints.count; joint++) {
    const above = branchOf.get(joints.parent[joint] ?? -1);
    if (above === undefined && idle[joint] !== true) continue;
    const branch = above ?? [];
    branch.push(joint);
    branchOf.set(joint, branch);
  }
  return new Set(branchOf.values());
}

/** Why some joints stay: for themselves, or for one below. */
function reasonsOf({ joints }: Rig, kept: readonly number[], why: Map<number, string>): string {
  const below = new Set(kept);
  // A set is walked through to what is added meanwhile.
  for (const joint of below) for (const child of joints.children[joint] ?? []) below.add(child);
  const reasons = [...below].flatMap((joint) => why.get(joint) ?? []);
  return [...new Set(reasons)].sort().join('; ');
}
