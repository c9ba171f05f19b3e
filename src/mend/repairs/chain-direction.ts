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
 * form from it to the next; it now stands at the other end of that part, where it is hung on, and aims
 * back along it. The turns between two joints are the same seen from the other side, so that their curves
 * stay exact; where the chain hangs on, the whole way round adds up, and curves are sampled anew.
 */
export const chainDirection: Repair = {
  name: 'chain direction',
  tells:
    'A chain or rig that is laid backwards is reversed. Each joint keeps its name and its skin, hangs on the joint that was below it, and aims back along its bone. Curves that stay exact are kept. The others are sampled again, and the error is reported.',
  rules: ['chain.direction'],
  mend(context: MendContext): Mended {
    const { model } = context;
    const ground = new Ground(context);
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const all = new Turning();
    let extent = 0;
    for (const finding of context.findings) {
      const rig = model.rigs[finding.rig ?? -1];
      if (rig === undefined) continue;
      for (const place of finding.places) {
        const run = runOf(context.facts(rig), place);
        const own = run === null ? UNSURE : turning(context, rig, run);
        const why = typeof own === 'string' ? own : whyNot(ground, own);
        if (run === null || typeof own === 'string' || why !== null)
          left.push({ rule: finding.rule, place: place.path, why: why ?? UNSURE });
        else if (all.add(own)) {
          changes.push(changeOf(rig, finding.rule, place, run));
          extent = Math.max(extent, size(context.facts(rig)));
        }
        // One that crosses another is turned in the next round.
      }
    }
    return carryOut(ground, all, { changes, left }, { size: extent, isNearest: false });
  },
};

function whyNot(ground: Ground, turned: Turned): string | null {
  const plan = planReframing(ground, turned);
  return 'obstacles' in plan ? plan.obstacles[0].why : null;
}

type Turned = Required<Pick<Reframing, 'frames' | 'parents'>>;

/** What becomes of several chains that share no joint. */
class Turning implements Turned {
  readonly frames = new Map<number, Frame>();
  readonly parents = new Map<number, number>();

  /** False for a chain that crosses one that is there already. */
  add({ frames, parents }: Turned): boolean {
    if ([...parents.keys()].some((node) => this.parents.has(node))) return false;
    for (const [node, frame] of frames) this.frames.set(node, frame);
    for (const [node, parent] of parents) this.parents.set(node, parent);
    return true;
  }
}

const UNSURE = 'nothing in the rig shows where it should begin';

function changeOf(rig: Rig, rule: string, place: PlaceReport, run: readonly number[]): Change {
  const name = (joint: number | undefined): string =>
    `"${visible(rig.joints.names[joint ?? -1] ?? '')}"`;
  return {
    rule,
    place: place.path,
    before: `laid from ${name(run[0])} to ${name(run.at(-1))}`,
    after: `laid from ${name(run.at(-1))} to ${name(run[0])}, ${run.length} joints`,
  };
}

/** The joints to turn round, as they are laid: a limb, or all from the root to where it should be. */
function runOf(facts: Facts, place: PlaceReport): readonly number[] | null {
  const limb = limbs(facts).find(({ joints }) => joints[0] === place.joint);
  const { first } = bodyRoot(facts);
  const last = place.joint === first ? (lever(facts)?.best ?? -1) : (limb?.joints.at(-1) ?? -1);
  const run: number[] = [];
  for (let at = last; at !== -1; at = facts.rig.joints.parent[at] ?? -1) {
    run.push(at);
    if (at === place.joint) return run.length > 1 ? run.reverse() : null;
  }
  return null;
}

/** What turns a chain round, or why it cannot be. */
function turning({ facts }: MendContext, rig: Rig, run: readonly number[]): Turned | string {
  const { joints, nodes: table } = rig;
  const spaced = run.slice(1).find((joint) => (joints.spacers[joint] ?? []).length > 0);
  if (spaced !== undefined)
    return `a node that is not a joint is above "${visible(joints.names[spaced] ?? '')}"; remove it, then mend the chain`;
  const nodes = run.map((joint) => joints.node[joint] ?? -1);
  const flip = halfTurn(facts(rig));
  const frames = new Map<number, Frame>();
  const parents = new Map<number, number>();
  for (const [at, node] of nodes.entries()) {
    const next = nodes[at + 1];
    parents.set(node, next ?? table.parent[nodes[0] ?? -1] ?? -1);
    if (next === undefined) continue;
    // Its new place is where the next joint stands, seen from its own frame.
    const there = relativeTo(mat4At(table.world, node), mat4At(table.world, next));
    if (there === null) return `it ${FLAT}`;
    frames.set(node, compose(origin(there), flip, [1, 1, 1]));
  }
  return { frames, parents };
}

/** Half a turn about the up axis, or the first that the bones do not run along: the aim axis points back. */
function halfTurn(facts: Facts): Quaternion {
  const { aim, up } = conventions(facts);
  const along = aim?.middle.index ?? -1;
  const axis = up?.index ?? (along === 0 ? 1 : 0);
  return [axis === 0 ? 1 : 0, axis === 1 ? 1 : 0, axis === 2 ? 1 : 0, 0];
}
