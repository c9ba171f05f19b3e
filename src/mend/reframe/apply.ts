import { carryExtensions } from '../carry/carry-extensions.js';
import { takeBackFrames } from '../file/inverse-bind.js';
import type { NodeJson } from '../json/gltf-json.js';
import { setOrDrop } from '../json/node-transform.js';
import { hangBetween } from './between.js';
import type { Ground } from './ground.js';
import { mapKeys } from './map-keys.js';
import { addChannel, dropChannels, outdated, storeCurves } from './new-curves.js';
import { type Followed, Poser, type Resampling } from './poser.js';
import type { NodePlan, Plan } from './reframing.js';
import { reparent } from './reparent.js';
import { splitOf } from './stored.js';

/** Stores a plan, and gives the curves that were sampled anew; or changes nothing, and tells why one cannot be followed. */
export function applyPlan(
  { opened: { edit, model }, clips }: Ground,
  plan: Plan,
  resampling: Resampling,
): { readonly sampled: readonly Followed[] } | { readonly why: string } {
  const poser = new Poser(plan, model.rigs, resampling);
  const followed = new Map<string, Followed>();
  for (const { node, clips: maps } of plan.nodes)
    for (const [clip, own] of maps) {
      if (own !== null) continue;
      const made = poser.follow(node, clip);
      if ('why' in made) return made;
      followed.set(`${node} ${clip}`, made);
    }
  carryExtensions(edit, plan.frames);
  for (const { node, source, isInverse, clips: maps } of plan.nodes)
    for (const [clip, own] of maps) {
      const curves = followed.get(`${node} ${clip}`);
      if (curves !== undefined) storeCurves(edit, node, clip, curves);
      if (own === null || !plan.parents.has(node)) continue;
      for (const channel of clips.channels.get(source) ?? [])
        if (channel.animation === clip) addChannel(edit, node, channel, own, isInverse);
    }
  mapKeys(edit, plan);
  dropChannels(edit, outdated(plan, clips.channels));
  for (const item of plan.nodes) {
    const node = edit.json.nodes?.[item.node];
    if (node !== undefined) store(node, item);
  }
  reparent(edit.json, model.nodes, plan.parents);
  hangBetween(edit, plan);
  takeBackFrames(edit, plan.frames);
  return { sampled: [...followed.values()] };
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
  if (rotation !== undefined && scale === undefined) node.rotation = [...rotation];
  else if (rotation !== undefined) setOrDrop(node, 'rotation', rotation);
  if (scale !== undefined) setOrDrop(node, 'scale', scale);
}
