import { limitsOfAll } from '../../check/settings.js';
import { percentage } from '../../kit/figures.js';
import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { bonePose } from '../../measure/pose/bone-pose.js';
import { bodyRoot } from '../../measure/skeleton/body-root.js';
import { type Home, homesOf } from '../../measure/skin/flesh-parent.js';
import { skinMass } from '../../measure/skin/skin-mass.js';
import { visible } from '../../report/visible.js';
import type { Rig } from '../../rig/types.js';
import { distance } from '../../rig/vec3.js';
import type { Ground } from '../reframe/ground.js';
import { upFrom } from '../reframe/stored.js';
import type { MendContext } from '../repair.js';
import { whyNotHung } from './hang-joints.js';
import { type NewRoot, planRoot } from './raise-root.js';
import { wouldStretch } from './would-stretch.js';

/** How a rig gets one topmost joint, or why it does not. */
export type RootWay =
  | { readonly homes: readonly Home[] }
  | { readonly root: NewRoot; readonly because: string }
  | { readonly why: string };

/**
 * Each extra topmost joint on the joint whose flesh is nearest; else one new joint above all: where nothing
 * shows which joint should move which (a flat rig), where a clip poses one on its own (feet that are driven
 * from the ground), so that a bone between the two would stretch, where that bone would have no length, and
 * where something in the file is in the way.
 */
export function rootWay(
  context: MendContext,
  ground: Ground,
  facts: Facts,
  extra: readonly number[],
): RootWay {
  const { joints } = facts.rig;
  const bone = unlistedBone(facts.rig, extra);
  if (bone !== -1)
    return {
      why: `it hangs on ${ground.say(bone)}, which no skin lists and which carries other joints of the rig, too, as a bone does; list that node in the skin where you made the rig`,
    };
  const homes = wantedHomes(facts, extra);
  const isFlat = extra.length + 1 === joints.count;
  const because = isFlat
    ? 'no joint of it moves another, and nothing shows which should'
    : (missing(facts, extra, homes) ?? unlike(context, facts, homes));
  /** Asked last: it takes as long as following all clips. */
  const whyNot = (): string | null => {
    for (const { joint, parent } of homes) {
      const why = whyNotHung(ground, { facts, joint, home: parent });
      if (why !== null) return why;
    }
    return null;
  };
  const hindered = because === null ? whyNot() : null;
  if (because === null && hindered === null) return { homes };
  const root = planRoot(context.edit, context.model, facts);
  // A node between the new joint and the others would be a bone that no skin lists.
  if ('why' in root || !root.isNext) {
    if (homes.length === extra.length && (hindered ?? whyNot()) === null) return { homes };
    if ('why' in root) return root;
  }
  return { root, because: because ?? hindered ?? '' };
}

/** A node above some topmost joints and not all: who poses the rig by its nodes would miss what left it. */
function unlistedBone(
  { joints, nodes, holders, hasCommonRoot }: Rig,
  extra: readonly number[],
): number {
  if (!hasCommonRoot) return -1;
  const tops = [...joints.node].filter((_, joint) => joints.parent[joint] === -1);
  const lines = tops.map((top) => upFrom(nodes, top));
  const isAboveAll = (node: number): boolean => lines.every((line) => line.has(node));
  const above = extra.flatMap((joint) => [...upFrom(nodes, joints.node[joint] ?? -1)].slice(1));
  return above.find((node) => holders.includes(node) && !isAboveAll(node)) ?? -1;
}

function wantedHomes(facts: Facts, extra: readonly number[]): Home[] {
  const isMoving = extra.some((joint) => skinMass(facts).movesBelow[joint] === 1);
  if (isMoving) return homesOf(facts, extra);
  const { main } = bodyRoot(facts);
  return extra.map((joint) => ({ joint, parent: main }));
}

function missing(facts: Facts, extra: readonly number[], homes: readonly Home[]): string | null {
  const lost = extra.find((joint) => !homes.some((home) => home.joint === joint));
  return lost === undefined ? null : `no flesh is near ${nameOf(facts, lost)}`;
}

/** Why a home would be none: the bone to it would stretch in a clip, or have no length. */
function unlike({ settings }: MendContext, facts: Facts, homes: readonly Home[]): string | null {
  const limitOf = limitsOfAll(settings);
  const [stretch, least] = [limitOf('chain.stretch', 'stretch'), limitOf('chain.length', 'length')];
  const { places } = bonePose(facts);
  const { moves } = skinMass(facts);
  for (const { joint, parent } of homes) {
    const bone = `the bone from ${nameOf(facts, parent)} to ${nameOf(facts, joint)}`;
    const length = distance(places[joint] ?? [0, 0, 0], places[parent] ?? [0, 0, 0]);
    if (moves[joint] === 1 && 100 * length <= least * size(facts))
      return `${bone} would have no length`;
    const percent = wouldStretch(facts, joint, parent);
    if (percent > stretch)
      return `clips pose ${nameOf(facts, joint)} on its own, and ${bone} would stretch by ${percentage(percent)}`;
  }
  return null;
}

function nameOf({ rig }: Facts, joint: number): string {
  return `"${visible(rig.joints.names[joint] ?? '')}"`;
}
