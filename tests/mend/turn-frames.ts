import { applyPlan } from '../../src/mend/reframe/apply.js';
import { Ground, type Opened } from '../../src/mend/reframe/ground.js';
import { planExactly } from '../../src/mend/reframe/plan.js';
import { turnAlone } from '../../src/mend/reframe/similarity.js';
import type { Quaternion } from '../../src/rig/quaternion.js';

/** Turns the frames of joints, each in its own frame by a unit quaternion, with nothing seen to move. */
export function turnFrames(opened: Opened, turns: ReadonlyMap<number, Quaternion>): void {
  const ground = new Ground(opened);
  const frames = new Map([...turns].map(([node, turn]) => [node, turnAlone(turn)]));
  const plan = planExactly(ground, { frames });
  if ('obstacles' in plan) throw new Error(plan.obstacles[0].why);
  const made = applyPlan(ground, plan, { size: 0, isNearest: false });
  if ('why' in made) throw new Error(made.why);
}
