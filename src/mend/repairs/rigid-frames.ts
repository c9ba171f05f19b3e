import { limitsOfAll } from '../../check/settings.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { shears } from '../../measure/pose/local-scale.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { quaternionOf } from '../../rig/decompose.js';
import { column, compose, identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { cross, direction, reject, scale, type Vec3 } from '../../rig/vec3.js';
import { type FoundPlace, foundPlaces } from '../found-places.js';
import { scaleWords } from '../frames/scale-words.js';
import { carryOut } from '../reframe/carry-out.js';
import { Ground } from '../reframe/ground.js';
import { planReframing } from '../reframe/plan.js';
import { FLAT } from '../reframe/plan-node.js';
import type { Plan } from '../reframe/reframing.js';
import { relativeTo } from '../reframe/stored.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Gives joints, spacers and holders below an unequal or mirroring scale frames that neither squash, skew
 * nor mirror; the scale goes into the places below it and into the inverse bind matrices. Exact where
 * nothing below an unequal scale is turned by a clip: what a turn makes of it no rigid joint can do.
 */
export const rigidFrames: Repair = {
  name: 'rigid frames',
  tells:
    'Frames below an unequal, skewing or mirroring scale are made rigid. The mend is exact unless a clip turns something below an unequal scale. Such a clip is not mended, or is matched as closely as possible with `--resample` and `--allow-change`.',
  rules: ['scale.nonuniform', 'scale.shear', 'scale.negative'],
  mend(context: MendContext): Mended {
    const { model } = context;
    const ground = new Ground(context);
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const frames = new Map<number, Mat4>();
    const found = byCause(context);
    const mended = new Set<number>();
    let extent = 0;
    for (const top of model.nodes.order) {
      const [finding] = found.get(top) ?? [];
      const rig = model.rigs[finding?.rig ?? -1];
      // What is below is mended with it.
      if (finding === undefined || rig === undefined || isBelow(context, top, mended)) continue;
      const own = rigidBelow(context, ground, rig, top);
      const why = own === null ? null : whyNot(context, ground, own, top);
      if (own === null || why !== null) {
        for (const { rule, place } of found.get(top) ?? [])
          left.push({ rule, place: place.path, why: why ?? `it ${FLAT}` });
        continue;
      }
      mended.add(top);
      for (const [node, frame] of own) frames.set(node, frame);
      extent = Math.max(extent, size(context.facts(rig)));
    }
    for (const { rule, place, cause } of blamed(context))
      if (mended.has(cause) || isBelow(context, cause, mended))
        changes.push({
          rule,
          place: place.path,
          before: `${rule === 'scale.shear' ? 'skewed by a scale of' : 'scaled by'} ${scaleWords(model.nodes, cause)}`,
          after:
            'at right angles and scaled by 1; the places and bind matrices below it now have the shape',
        });
    const curves = { size: extent, isNearest: context.resample };
    return carryOut(ground, { frames }, { changes, left }, curves);
  },
};

function whyNot(
  { resample }: MendContext,
  ground: Ground,
  frames: ReadonlyMap<number, Mat4>,
  top: number,
): string | null {
  const plan = planReframing(ground, { frames }, new Set([top]));
  if ('obstacles' in plan) return plan.obstacles[0].why;
  return plan.uneven.length > 0 && !resample ? turnedWords(ground, plan, top) : null;
}

/** A place at fault, and the node whose scale is to blame. */
interface Blamed extends FoundPlace {
  readonly cause: number;
}

/** All places of findings. A skewed frame is mended where its cause is, and told once. */
function blamed(context: MendContext): Blamed[] {
  const skewed = context.findings.filter(({ rule }) => rule === 'scale.shear');
  const scaled = context.findings.filter(({ rule }) => rule !== 'scale.shear');
  return [...foundPlaces(scaled), ...skewed].flatMap(({ rule, rig, place }) => {
    const cause = rule === 'scale.shear' ? skewCause(context, rig, place.joint) : place.node;
    return cause === null ? [] : [{ rule, rig, place, cause }];
  });
}

function byCause(context: MendContext): Map<number, Blamed[]> {
  const found = new Map<number, Blamed[]>();
  for (const item of blamed(context))
    found.set(item.cause, [...(found.get(item.cause) ?? []), item]);
  return found;
}

function isBelow({ model }: MendContext, node: number, tops: ReadonlySet<number>): boolean {
  for (let at = model.nodes.parent[node] ?? -1; at !== -1; at = model.nodes.parent[at] ?? -1)
    if (tops.has(at)) return true;
  return false;
}

function turnedWords(ground: Ground, { uneven }: Plan, top: number): string {
  const [first] = uneven;
  const turned = first?.node === top ? 'it' : ground.say(first?.node ?? -1);
  return `the clip "${first?.clip}" moves ${turned} under the unequal scale of ${ground.say(top)}, and no rigid joint can follow that; --resample computes the closest motion, and --allow-change must allow the change`;
}

/** The node whose scale skews a joint, by the limits of the run. */
function skewCause(
  { facts, model, settings }: MendContext,
  index: number | null,
  joint: number | null,
): number | null {
  const rig = model.rigs[index ?? -1];
  if (rig === undefined) return null;
  const limitOf = limitsOfAll(settings);
  const limits = {
    uneven: limitOf('scale.nonuniform', 'uneven'),
    skew: limitOf('scale.shear', 'skew'),
  };
  return shears(facts(rig), limits).find((shear) => shear.joint === joint)?.cause ?? null;
}

/**
 * For a node and every carrier below it the change to a frame that is only moved and turned against the
 * one above it: aim axis first, then up, so that bones stay aimed. Null where one has no inverse.
 */
function rigidBelow(
  { facts }: MendContext,
  { nodes, carriers }: Ground,
  rig: Rig,
  top: number,
): Map<number, Mat4> | null {
  const { aim, up } = conventions(facts(rig));
  const axes = [aim?.middle.index ?? 0, up?.index ?? 1];
  const frames = new Map<number, Mat4>();
  const parent = nodes.parent[top] ?? -1;
  const open = [{ node: top, above: parent === -1 ? identity() : mat4At(nodes.world, parent) }];
  for (let item = open.pop(); item !== undefined; item = open.pop()) {
    const { node, above } = item;
    const world = mat4At(nodes.world, node);
    const local = relativeTo(above, world);
    const wanted = local && squared(local, axes);
    const made = wanted && multiply(above, wanted);
    const frame = made && relativeTo(world, made);
    if (made === null || frame === null || invert(frame) === null) return null;
    // It stays in its place, whatever rounding says.
    frame.fill(0, 12, 15);
    if (!isNothing(frame)) frames.set(node, frame);
    for (const child of nodes.children[node] ?? [])
      if (carriers.has(child)) open.push({ node: child, above: made });
  }
  return frames;
}

function isNothing(frame: Mat4): boolean {
  return frame.every((value, at) => Math.abs(value - (at % 5 === 0 ? 1 : 0)) < 1e-9);
}

/** The frame at the same place without scale, axes square to each other in the order given. */
function squared(local: Mat4, order: readonly number[]): Mat4 | null {
  const [first = 0, given = 1] = order;
  const second = given === first ? (first + 1) % 3 : given;
  const third = 3 - first - second;
  const a = direction(column(local, first));
  const b = a && direction(reject(column(local, second), a));
  if (a === null || b === null) return null;
  const isCyclic = (first + 1) % 3 === second;
  const c = scale(cross(a, b), isCyclic ? 1 : -1);
  const axes: [Vec3, Vec3, Vec3] = [a, a, a];
  axes[first] = a;
  axes[second] = b;
  axes[third] = c;
  return compose(column(local, 3), quaternionOf(axes), [1, 1, 1]);
}
