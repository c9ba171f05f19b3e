import { carryExtensions } from '../carry/carry-extensions.js';
import { takeBackFrames } from '../file/inverse-bind.js';
import type { NodeJson } from '../json/gltf-json.js';
import type { Ground } from './ground.js';
import { hangBetween, reparent } from './hierarchy.js';
import { addChannel, dropOutdated, mapKeys, storeCurves } from './new-curves.js';
import { type Followed, Poser, type Resampling } from './poser.js';
import type { NodePlan, Plan } from './reframing.js';
import { splitOf } from './stored.js';
import { atMostUnit } from './unit-rotation.js';

/** Stores a plan and gives the curves that were resampled; or changes nothing, and says why not. */
export function applyPlan(
  ground: Ground,
  plan: Plan,
  resampling: Resampling,
): { readonly sampled: readonly Followed[] } | { readonly why: string } {
  const {
    opened: { edit, model },
    clips,
  } = ground;
  const followed = resample(ground, plan, resampling);
  if ('why' in followed) return followed;
  carryExtensions(edit, plan.frames);
  for (const { node, source, isInverse, clips: mapsOf } of plan.nodes)
    for (const [clip, maps] of mapsOf) {
      const curves = followed.get(`${node} ${clip}`);
      if (curves !== undefined) storeCurves(edit, node, clip, curves);
      if (maps === null || !plan.parents.has(node)) continue;
      for (const channel of clips.channels.get(source) ?? [])
        if (channel.animation === clip) addChannel(edit, node, channel, maps, isInverse);
    }
  mapKeys(edit, plan);
  dropOutdated(edit, plan, clips.channels);
  for (const nodePlan of plan.nodes) {
    const node = edit.json.nodes?.[nodePlan.node];
    if (node !== undefined) store(node, nodePlan);
  }
  reparent(edit.json, model.nodes, plan.parents);
  hangBetween(edit.json, plan);
  takeBackFrames(edit, plan.frames);
  return { sampled: [...followed.values()] };
}

/** The curves of a plan that have to be resampled, by node and clip; or why one cannot be. */
export function resample(
  { opened: { model } }: Ground,
  plan: Plan,
  resampling: Resampling,
): Map<string, Followed> | { readonly why: string } {
  const poser = new Poser(plan, model.rigs, resampling);
  const followed = new Map<string, Followed>();
  for (const { node, clips: mapsOf } of plan.nodes)
    for (const [clip, maps] of mapsOf) {
      if (maps !== null) continue;
      const curves = poser.follow(node, clip);
      if ('why' in curves) return curves;
      followed.set(`${node} ${clip}`, curves);
    }
  return followed;
}

/** A node that clips move has no matrix (glTF 2.0, 3.11 and 5.25). */
function store(node: NodeJson, { local, stored, isSplit }: NodePlan): void {
  const hadMatrix = node.matrix !== undefined;
  if (hadMatrix && !isSplit) {
    node.matrix = [...local];
    return;
  }
  delete node.matrix;
  const { translation, rotation, scale } = hadMatrix ? { ...splitOf(local), ...stored } : stored;
  if (translation !== undefined) setOrDrop(node, 'translation', translation);
  // What a turn alone makes of a rotation is written out, whatever it comes to.
  if (rotation !== undefined && scale === undefined) node.rotation = [...atMostUnit(rotation)];
  else if (rotation !== undefined) setOrDrop(node, 'rotation', atMostUnit(rotation));
  if (scale !== undefined) setOrDrop(node, 'scale', scale);
}

const DEFAULTS = { translation: [0, 0, 0], rotation: [0, 0, 0, 1], scale: [1, 1, 1] };

/** Stores one part of a node's transform; a default is left out (glTF 2.0, 5.25). */
function setOrDrop(node: NodeJson, key: keyof typeof DEFAULTS, values: readonly number[]): void {
  if (values.every((value, at) => value === DEFAULTS[key][at])) delete node[key];
  else node[key] = values.map((value) => (value === 0 ? 0 : value));
}
