import { pointerOf, targetOf } from '../../asset/animation-pointer.js';
import { visible } from '../../report/visible.js';
import type { CarryPlan } from './carry-plan.js';

const NAME = 'KHR_animation_pointer';

/**
 * Finds pointers that cannot follow (KHR_animation_pointer, Operation): those to a value that is
 * carried, whose keys would be those of the old frame, and those to single numbers of a transform,
 * which mix with the others. Whole transforms are keys like any other; pointers elsewhere stay.
 * To be asked last, when all that is carried is known.
 */
export function keepPointers(plan: CarryPlan): void {
  const told = new Set<string>();
  for (const { channels } of plan.json.animations ?? [])
    for (const { target } of channels) {
      const pointer = pointerOf(target);
      if (pointer === null || told.has(pointer) || targetOf(target) !== null) continue;
      told.add(pointer);
      const node = Number(
        /^\/nodes\/(\d+)\/(translation|rotation|scale)\//.exec(pointer)?.[1] ?? -1,
      );
      const shown = visible(pointer);
      if (plan.concerns(node))
        plan.refuse(
          [node, plan.parentOf(node)],
          `a clip moves ${shown} (${NAME}), a single number of a transform that would change`,
        );
      const edit = plan.edits.find(
        (item) => within(pointer, item.pointer) || within(item.pointer, pointer),
      );
      if (edit !== undefined)
        plan.refuse(
          [edit.node],
          `a clip moves ${shown} (${NAME}), which is relative to the frame of ${plan.say(edit.node)}`,
        );
    }
}

function within(pointer: string, other: string): boolean {
  return pointer === other || pointer.startsWith(`${other}/`);
}
