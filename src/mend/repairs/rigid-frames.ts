import { limitsOfAll } from '../../check/settings.js';
import type { Axis } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { shears } from '../../measure/pose/local-scale.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { quaternionOf } from '../../rig/decompose.js';
import {
  column,
  compose,
  identity,
  invert,
  type Mat4,
  mat4At,
  multiply,
  origin,
} from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import type { Vec3 } from '../../rig/vec3.js';
import { type FoundPlace, foundPlaces } from '../found-places.js';
import { frameFrom } from '../frames/frame-algebra.js';
import { scaleWords } from '../frames/scale-words.js';
import { carryOut } from '../reframe/carry-out.js';
import { Ground } from '../reframe/ground.js';
import { planReframing } from '../reframe/plan.js';
import { FLAT } from '../reframe/plan-node.js';
import { relativeTo, upFrom } from '../reframe/stored.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Gives joints, spacers and holders below an unequal or mirroring scale frames that neither squash, skew
 * nor mirror; the scale goes into the places below it and into the inverse bind matrices. Exact where
 * no clip turns anything below an unequal scale: no rigid joint can do what that makes of a turn.
 */
export const rigidFrames: Repair = {
  name: 'rigid frames',
  tells:
    'Frames below an unequal, skewing or mirroring scale are made rigid. The mend is exact unless a clip turns something below an unequal scale. Such a clip is not mended, or is matched as closely as possible with `--resample` and `--allow-change`.',
  rules: ['scale.nonuniform', 'scale.shear', 'scale.negative'],
  mend(context: MendContext): Mended {
    const { nodes, rigs } = context.model;
    const ground = new Ground(context);
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const frames = new Map<number, Mat4>();
    const found = blamed(context);
    const causes = new Set(found.map(({ cause }) => cause));
    const mended = new Set<number>();
    const isMended = (node: number): boolean =>
      [...upFrom(nodes, node)].some((above) => mended.has(above));
    let extent = 0;
    for (const top of nodes.order) {
      const places = causes.has(top) ? found.filter(({ cause }) => cause === top) : [];
      const rig = rigs[places[0]?.rig ?? -1];
      // What is below is mended with it.
      if (rig === undefined || isMended(top)) continue;
      const rigid = rigidBelow(context, ground, rig, top);
      if ('why' in rigid) {
        for (const { rule, place } of places)
          left.push({ rule, place: place.path, why: rigid.why });
        continue;
      }
      mended.add(top);
      for (const [node, frame] of rigid) frames.set(node, frame);
      extent = Math.max(extent, size(context.facts(rig)));
    }
    for (const { rule, place, cause } of found)
      if (isMended(cause))
        changes.push({
          rule,
          place: place.path,
          before: `${rule === 'scale.shear' ? 'skewed by a scale of' : 'scaled by'} ${scaleWords(nodes, cause)}`,
          after:
            'at right angles and scaled by 1; the places and bind matrices below it now have the shape',
        });
    const curves = { size: extent, isNearest: context.resample };
    return carryOut(ground, { frames }, { changes, left }, curves);
  },
};

/** A place at fault, and the node whose scale is to blame. */
interface Blamed extends FoundPlace {
  readonly cause: number;
}

/** All places of findings. A skewed frame is mended at its cause, and reported once. */
function blamed({ facts, model, findings, settings }: MendContext): Blamed[] {
  const [skewed, scaled] = [true, false].map((isSkew) =>
    findings.filter(({ rule }) => (rule === 'scale.shear') === isSkew),
  );
  return [
    ...foundPlaces(scaled ?? []).flatMap((found) =>
      found.place.node === null ? [] : [{ ...found, cause: found.place.node }],
    ),
    ...(skewed ?? []).flatMap(({ rule, rig: index, place }) => {
      const rig = model.rigs[index ?? -1];
      if (rig === undefined) return [];
      const limitOf = limitsOfAll(settings);
      const uneven = limitOf('scale.nonuniform', 'uneven');
      const skews = shears(facts(rig), { uneven, skew: limitOf('scale.shear', 'skew') });
      const { cause } = skews.find(({ joint }) => joint === place.joint) ?? {};
      return cause === undefined ? [] : [{ rule, rig: index, place, cause }];
    }),
  ];
}

/**
 * For a node and every carrier below it the change to a frame that is only moved and turned against the
 * one above it: aim axis first, then up, so that bones stay aimed; or why they cannot have that.
 */
function rigidBelow(
  { facts, resample }: MendContext,
  ground: Ground,
  rig: Rig,
  top: number,
): Map<number, Mat4> | { readonly why: string } {
  const { nodes, carriers } = ground;
  const { aim, up } = conventions(facts(rig));
  const first: Axis = { index: aim?.middle.index ?? 0, sign: 1 };
  const given = up?.index ?? 1;
  const second: Axis = { index: given === first.index ? NEXT[first.index] : given, sign: 1 };
  const frames = new Map<number, Mat4>();
  const parent = nodes.parent[top] ?? -1;
  const open = [{ node: top, above: parent === -1 ? identity() : mat4At(nodes.world, parent) }];
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const { node, above } = next;
    const world = mat4At(nodes.world, node);
    const local = relativeTo(above, world);
    const axisOf = ({ index }: Axis): Vec3 => column(local ?? world, index);
    const axes = local && frameFrom(first, second, axisOf(first), axisOf(second));
    const rigid = axes && multiply(above, compose(origin(local), quaternionOf(axes), [1, 1, 1]));
    const frame = rigid && relativeTo(world, rigid);
    if (rigid === null || frame === null || invert(frame) === null) return { why: `it ${FLAT}` };
    // It stays in its place, despite rounding.
    frame.fill(0, 12, 15);
    const isSame = frame.every((value, at) => Math.abs(value - (at % 5 === 0 ? 1 : 0)) < 1e-9);
    if (!isSame) frames.set(node, frame);
    for (const child of nodes.children[node] ?? [])
      if (carriers.has(child)) open.push({ node: child, above: rigid });
  }
  const plan = planReframing(ground, { frames }, new Set([top]), 1);
  if ('obstacles' in plan) return plan.obstacles[0];
  const [turned] = plan.uneven;
  if (turned === undefined || resample) return frames;
  return {
    why: `the clip "${turned.clip}" moves ${turned.node === top ? 'it' : ground.say(turned.node)} under the unequal scale of ${ground.say(top)}, and no rigid joint can follow that; --resample computes the closest motion, and --allow-change must allow the change`,
  };
}

/** Which axis follows each. */
const NEXT = [1, 2, 0] as const;
