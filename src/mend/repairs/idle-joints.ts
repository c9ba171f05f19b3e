import { skinMass } from '../../measure/skin/skin-mass.js';
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
      for (const { top, inner, all } of branchesOf(rig, idle)) {
        const place = rig.joints.paths[top] ?? '';
        const gone = all.filter((joint) => going.has(joint));
        const kept = inner.filter((joint) => !going.has(joint));
        if (gone.length > 0)
          changes.push({
            rule: RULE,
            place,
            before: `${jointCount(gone.length)} that ${gone.length === 1 ? 'moves' : 'move'} nothing`,
            after: 'removed from the skin; the nodes stay',
          });
        if (kept.length > 0)
          left.push({
            rule: RULE,
            place,
            why: `${jointCount(kept.length)} ${kept.length === 1 ? 'stays' : 'stay'}: ${reasonsOf(rig, kept, why)}`,
          });
      }
      for (const { index, slotOfJoint } of rig.skins) {
        const slots = [...going].flatMap((joint) => slotOfJoint[joint] ?? -1);
        const listed = slots.filter((slot) => slot !== -1).sort((a, b) => a - b);
        if (listed.length > 0) dropped.set(index, new Set(listed));
      }
    }
    if (dropped.size > 0) dropSlots(edit, dropped);
    return { changes, left };
  },
};

interface Branch {
  readonly top: number;
  /** Idle joints of it. */
  readonly inner: number[];
  /** With the end joints below them. */
  readonly all: number[];
}

/** Idle joints by the topmost of their branch. Parents stand before their children. */
function branchesOf({ joints }: Rig, idle: readonly boolean[]): Branch[] {
  const branchOf = new Map<number, Branch>();
  for (let joint = 0; joint < joints.count; joint++) {
    const above = branchOf.get(joints.parent[joint] ?? -1);
    if (above === undefined && idle[joint] !== true) continue;
    const branch = above ?? { top: joint, inner: [], all: [] };
    branch.all.push(joint);
    if (idle[joint] === true) branch.inner.push(joint);
    branchOf.set(joint, branch);
  }
  return [...new Set(branchOf.values())];
}

/** Why some joints stay: for themselves, or for one below. */
function reasonsOf(
  { joints }: Rig,
  kept: readonly number[],
  why: ReadonlyMap<number, string>,
): string {
  const reasons = new Set<string>();
  const stack = [...kept];
  for (let joint = stack.pop(); joint !== undefined; joint = stack.pop()) {
    const reason = why.get(joint);
    if (reason !== undefined) reasons.add(reason);
    for (const child of joints.children[joint] ?? []) stack.push(child);
  }
  return [...reasons].sort().join('; ');
}

function jointCount(count: number): string {
  return count === 1 ? '1 joint' : `${count} joints`;
}
