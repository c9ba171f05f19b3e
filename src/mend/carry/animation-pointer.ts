import { pointerOf, targetOf } from '../../asset/animation-pointer.js';
import { visible } from '../../report/visible.js';
import type { CarryPlan } from './carry-plan.js';

/**
 * Refuses pointers that cannot follow (KHR_animation_pointer, Operation): those to a value that is
 * carried, whose keys would be those of the old frame, and those to single numbers of a transform,
 * which mix with the others. Whole transforms are keys like any other; other pointers stay.
 */
export function keepPointers(plan: CarryPlan): void {
  const seen = new Set<string>();
  for (const { channels } of plan.json.animations ?? [])
    for (const { target } of channels) {
      const pointer = pointerOf(target);
      if (pointer === null || seen.has(pointer) || targetOf(target) !== null) continue;
      seen.add(pointer);
      const node = Number(PART_OF_TRANSFORM.exec(pointer)?.[1] ?? -1);
      const moved = `a clip moves ${visible(pointer)} (KHR_animation_pointer)`;
      if (plan.concerns(node))
        plan.refuse(
          [node, plan.parentOf(node)],
          `${moved}, a single number of a transform that would change`,
        );
      const tied = plan.edits.find(
        (edit) => isWithin(pointer, edit.pointer) || isWithin(edit.pointer, pointer),
      )?.node;
      if (tied !== undefined)
        plan.refuse([tied], `${moved}, which is relative to the frame of ${plan.say(tied)}`);
    }
}

const PART_OF_TRANSFORM = /^\/nodes\/(\d+)\/(translation|rotation|scale)\//;

function isWithin(pointer: string, other: string): boolean {
  return pointer === other || pointer.startsWith(`${other}/`);
}
