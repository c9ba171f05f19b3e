import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { bodyRoot } from '../../measure/skeleton/body-root.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { lever } from '../../measure/skeleton/lever.js';
import { limbs } from '../../measure/skeleton/limb-direction.js';
import type { PlaceReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { compose, mat4At, origin } from '../../rig/mat4.js';
import type { Quaternion } from '../../rig/quaternion.js';
import type { Rig } from '../../rig/types.js';
import { carryOut } from '../reframe/carry-out.js';
import { Ground } from '../reframe/ground.js';
import { planReframing } from '../reframe/plan.js';
import { FLAT } from '../reframe/plan-node.js';
import type { Frame, Reframing } from '../reframe/reframing.js';
import { relativeTo } from '../reframe/stored.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Turns a chain round that is laid backwards. Each joint keeps its name and its skin, the part of the
 * form from it to the next; its new place is the other end of that part, from which it aims back along
 * it. The turns between two joints are the same seen from the other side, so that their curves stay
 * exact; where the chain is attached, all turns along it add up, and curves are resampled.
 */
export const chainDirection: Repair = {
  name: 'chain direction',
  tells:
    'A chain or rig that is laid backwards is reversed. Each joint keeps its name and its skin, hangs on the joint that was below it, and aims back along its bone. Curves that stay exact are kept. The others are sampled again, and the error is reported.',
  rules: ['chain.direction'],
  isBold: true,
  mend(context: MendContext): Mended {
    const ground = new Ground(context);
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const frames = new Map<number, Frame>();
    const parents = new Map<number, number>();
    let extent = 0;
    for (const { rule, rig: index, places } of context.findings) {
      const rig = context.model.rigs[index ?? -1];
      if (rig === undefined) continue;
      const facts = context.facts(rig);
      for (const place of places) {
        const turned = turnedRound(ground, facts, place);
        if ('why' in turned) {
          left.push({ rule, place: place.path, why: turned.why });
          continue;
        }
        // A chain that crosses another is turned in the next round.
        if ([...turned.parents.keys()].some((node) => parents.has(node))) continue;
        for (const [node, frame] of turned.frames) frames.set(node, frame);
        for (const [node, parent] of turned.parents) parents.set(node, parent);
        extent = Math.max(extent, size(facts));
        const { run } = turned;
        const [first, last] = [nameOf(rig, run[0]), nameOf(rig, run.at(-1))];
        changes.push({
          rule,
          place: place.path,
          before: `laid from ${first} to ${last}`,
          after: `laid from ${last} to ${first}, ${run.length} joints`,
        });
      }
    }
    const curves = { size: extent, isNearest: false };
    return carryOut(ground, { frames, parents }, { changes, left }, curves);
  },
};

function nameOf({ joints }: Rig, joint = -1): string {
  return `"${visible(joints.names[joint] ?? '')}"`;
}

interface Turned extends Required<Pick<Reframing, 'frames' | 'parents'>> {
  /** The joints that are turned round, as they are laid now. */
  readonly run: readonly number[];
}

/** What turns a chain round, or why it cannot be. */
function turnedRound(ground: Ground, facts: Facts, place: PlaceReport): Turned | { why: string } {
  const { joints, nodes: table } = facts.rig;
  const run = runOf(facts, place);
  if (run === null) return { why: 'nothing in the rig shows where it should begin' };
  const spaced = run.slice(1).find((joint) => (joints.spacers[joint] ?? []).length > 0);
  if (spaced !== undefined)
    return {
      why: `a node that is not a joint is above ${nameOf(facts.rig, spaced)}; remove it, then mend the chain`,
    };
  const nodes = run.map((joint) => joints.node[joint] ?? -1);
  const flip = halfTurn(facts);
  const frames = new Map<number, Frame>();
  const parents = new Map<number, number>();
  for (const [at, node] of nodes.entries()) {
    const next = nodes[at + 1];
    parents.set(node, next ?? table.parent[nodes[0] ?? -1] ?? -1);
    if (next === undefined) continue;
    // Its new place is that of the next joint, as seen from its own frame.
    const there = relativeTo(mat4At(table.world, node), mat4At(table.world, next));
    if (there === null) return { why: `it ${FLAT}` };
    frames.set(node, compose(origin(there), flip, [1, 1, 1]));
  }
  const plan = planReframing(ground, { frames, parents });
  return 'obstacles' in plan ? plan.obstacles[0] : { run, frames, parents };
}

/** A limb, or all joints from the root to where it should be; null for fewer than two. */
function runOf(facts: Facts, place: PlaceReport): readonly number[] | null {
  const limb = limbs(facts).find(({ joint }) => joint === place.joint);
  const isRoot = place.joint === bodyRoot(facts).first;
  const last = isRoot ? lever(facts)?.best : limb?.last;
  const run: number[] = [];
  for (let joint = last ?? -1; joint !== -1; joint = facts.rig.joints.parent[joint] ?? -1) {
    run.push(joint);
    if (joint === place.joint) return run.length > 1 ? run.reverse() : null;
  }
  return null;
}

/** Half a turn about the up axis, or the first that is not along the bones: the aim axis points back. */
function halfTurn(facts: Facts): Quaternion {
  const { aim, up } = conventions(facts);
  const axis = up?.index ?? (aim?.middle.index === 0 ? 1 : 0);
  return [axis === 0 ? 1 : 0, axis === 1 ? 1 : 0, axis === 2 ? 1 : 0, 0];
}
