import { carryExtensions } from '../carry/carry-extensions.js';
import type { OutputUser } from '../file/accessor-users.js';
import type { NodeJson } from '../file/gltf-json.js';
import { takeBackFrames } from '../file/inverse-bind.js';
import { setOrDrop } from '../file/node-transform.js';
import { ownSampler } from '../file/sampler-values.js';
import type { MendContext } from '../repair.js';
import { hangBetween } from './between.js';
import { keyedClips } from './clip-table.js';
import { type Followed, Poser, type Resampling } from './poser.js';
import type { NodePlan, RebuildPlan } from './rebuild.js';
import { addChannel, dropChannels, mapped, outdated, storeCurves } from './rebuilt-clips.js';
import { reparent } from './reparent.js';

/** A motion that was sampled anew. */
export interface Sampled {
  readonly node: number;
  readonly clip: string;
  readonly keys: number;
  /** Largest distance between the curves and what they follow, in units of the rig. */
  readonly off: number;
}

/** Stores a plan; or changes nothing, and tells why a curve cannot be followed. */
export function applyRebuild(
  { edit, model }: Pick<MendContext, 'edit' | 'model'>,
  plan: RebuildPlan,
  resampling: Resampling,
): { readonly sampled: readonly Sampled[] } | { readonly why: string } {
  const poser = new Poser(plan, model.rigs, resampling);
  const followed = new Map<string, Followed>();
  for (const { node, clips } of plan.nodes)
    for (const [clip, maps] of clips) {
      if (maps !== null) continue;
      const made = poser.follow(node, clip);
      if ('why' in made) return made;
      followed.set(`${node} ${clip}`, made);
    }
  carryExtensions(edit, plan.frames);
  const old = keyedClips(edit, model).channels;
  const written: (readonly [OutputUser, Float32Array])[] = [];
  for (const item of plan.nodes) {
    const node = edit.json.nodes?.[item.node];
    if (node === undefined) continue;
    for (const [clip, maps] of item.clips) {
      const own = (old.get(item.source) ?? []).filter(({ animation }) => animation === clip);
      const curves = followed.get(`${item.node} ${clip}`);
      const isMoved = plan.parents.has(item.node);
      if (maps === null) {
        if (curves !== undefined) storeCurves(edit, item.node, clip, curves);
      } else
        for (const channel of own) {
          const values = mapped(channel, item, maps);
          if (isMoved) addChannel(edit, item.node, channel, values);
          else {
            const sampler = ownSampler(edit.json, clip, channel.channel);
            written.push([{ kind: 'output', animation: clip, sampler }, values]);
          }
        }
    }
    store(node, item, isAnimated(item, plan));
  }
  edit.writeEach(written);
  dropChannels(edit, outdated(plan, old));
  reparent(edit.json, model.nodes, plan.parents);
  hangBetween(edit, plan);
  takeBackFrames(edit, plan.frames);
  return {
    sampled: [...followed.values()].map(({ node, clip, keys }) => ({
      node,
      clip,
      keys: keys.times.length,
      off: keys.off,
    })),
  };
}

/** A node that clips move has no matrix (glTF 2.0, 3.11 and 5.25). */
function store(node: NodeJson, { local, stored }: NodePlan, isMoved: boolean): void {
  if (node.matrix !== undefined && !isMoved) {
    node.matrix = [...local];
    return;
  }
  delete node.matrix;
  setOrDrop(node, 'translation', stored.translation);
  setOrDrop(node, 'rotation', stored.rotation);
  setOrDrop(node, 'scale', stored.scale);
}

function isAnimated({ node, clips }: NodePlan, { parents }: RebuildPlan): boolean {
  return clips.size > 0 || parents.has(node);
}
