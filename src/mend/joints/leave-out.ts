import { branchOf } from '../../rig/tree.js';
import type { Rig } from '../../rig/types.js';
import type { MendContext } from '../repair.js';
import { dropSlots } from './drop-slots.js';
import { droppableJoints } from './droppable-joints.js';

/**
 * Takes joints that move nothing out of the skins that list them, with all below them; their nodes stay.
 *
 * @returns Those that are out, and why the others are not.
 */
export function leaveOut(
  { edit, model }: MendContext,
  rig: Rig,
  joints: readonly number[],
): { readonly gone: readonly number[]; readonly why: ReadonlyMap<number, string> } {
  if (joints.length === 0) return { gone: [], why: new Map() };
  const idle = rig.joints.children.map((_, joint) => joints.includes(joint));
  const { going, why } = droppableJoints(edit, model, rig, idle);
  const dropped = new Map<number, Set<number>>();
  for (const { index, slotOfJoint } of rig.skins) {
    const slots = Array.from(going, (joint) => slotOfJoint[joint] ?? -1);
    const listed = slots.filter((slot) => slot !== -1).sort((a, b) => a - b);
    if (listed.length > 0) dropped.set(index, new Set(listed));
  }
  if (dropped.size > 0) dropSlots(edit, dropped);
  const whyStays = (top: number): string => {
    const below = branchOf(rig.joints, top);
    const reasons = [...why].flatMap(([joint, reason]) => (below[joint] === 1 ? reason : []));
    return [...new Set(reasons)].join('; ');
  };
  const kept = joints.filter((joint) => !going.has(joint));
  return {
    gone: joints.filter((joint) => going.has(joint)),
    why: new Map(kept.map((joint) => [joint, whyStays(joint)])),
  };
}
