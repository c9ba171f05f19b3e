import { significant } from '../../kit/figures.js';
import { visible } from '../../report/visible.js';
import { mat4At } from '../../rig/mat4.js';
import type { NodeTable } from '../../rig/types.js';
import { vec3At } from '../../rig/vec3.js';
import { whyNotCarried } from '../carry/carry-extensions.js';
import { namedNodes } from '../carry/named-nodes.js';
import { framesOfSteps } from '../carry/step-frames.js';
import type { GltfJson } from '../file/gltf-json.js';
import type { MendContext } from '../repair.js';
import { clipsByNode, contentOf, isPlacedBySkin } from './node-content.js';
import { carriersOf, jointsWithoutMatrix, scalingClips } from './refit-facts.js';
import {
  after,
  inverseOf,
  isNoChange,
  NO_CHANGE,
  type Similarity,
  scaleAlone,
  similarityOf,
} from './similarity.js';

/** What nodes are to be stored as from now on. */
export interface Refit {
  /** Nodes that are to have this local transform; no clip may move them. */
  readonly set: ReadonlyMap<number, Similarity>;
  /** Nodes whose stored scale is to be multiplied by this; no clip may give them another scale. */
  readonly rescale: ReadonlyMap<number, number>;
}

/** How one node is stored after a refit. */
export interface Step {
  /** Goes before the local transform: what takes its parent's new frame back. */
  readonly before: Similarity;
  /** The scale it stores is multiplied by this. */
  readonly factor: number;
  /** Its local transform from now on, instead of `before` and `factor`; null for any but set nodes. */
  readonly local: Similarity | null;
  /** Its new world matrix is the old one times this. */
  readonly frame: Similarity;
}

export type Plan = { readonly steps: ReadonlyMap<number, Step> } | { readonly why: string };

/**
 * Works out what has to follow when nodes get another local transform and nothing is to be seen of it.
 * With W a world matrix, every node gets W' = W C with C constant: a local matrix L becomes P^-1 L C, P
 * being the C of its parent. Whatever shows something has C = 1 and takes all back. Joints, spacers and
 * holders take a scale along (C a scale), so that none has to store it; their skins then undo it.
 */
export class Refitter {
  private readonly nodes: NodeTable;
  private readonly json: GltfJson;
  private readonly carriers: ReadonlySet<number>;
  private readonly clips: ReadonlyMap<number, ReadonlyMap<string, string>>;
  private readonly scalingClips: ReadonlyMap<number, string>;
  private readonly unbound: ReadonlySet<number>;
  /** Nodes whose place an extension needs. */
  private readonly placed: ReadonlySet<number>;
  /** Of each node in the order of the tree, parents first. */
  private readonly place: Int32Array;

  constructor({ edit, model }: Pick<MendContext, 'edit' | 'model'>) {
    this.nodes = model.nodes;
    this.json = edit.json;
    this.carriers = carriersOf(model);
    this.clips = clipsByNode(edit.json);
    this.scalingClips = scalingClips(model);
    this.unbound = jointsWithoutMatrix(model);
    this.placed = namedNodes(edit.json).placed;
    this.place = new Int32Array(model.nodes.count);
    model.nodes.order.forEach((node, at) => {
      this.place[node] = at;
    });
  }

  /** The steps of a refit, or why it cannot be done exactly; `asked` is told as "it". */
  plan({ set, rescale }: Refit, asked: number): Plan {
    const steps = new Map<number, Step>();
    const depth = (node: number): number => this.place[node] ?? 0;
    for (const top of [...set.keys(), ...rescale.keys()].sort((a, b) => depth(a) - depth(b))) {
      if (steps.has(top)) continue;
      const open: { node: number; parent: Similarity }[] = [{ node: top, parent: NO_CHANGE }];
      for (let item = open.pop(); item !== undefined; item = open.pop()) {
        const { node, parent } = item;
        const step = this.step(node, parent, set.get(node), rescale.get(node));
        const why = step === null ? UNEVEN : this.obstacle(node, step, rescale.has(node));
        if (step === null || why !== null) return { why: `${this.subject(node, asked)} ${why}` };
        steps.set(node, step);
        if (isNoChange(step.frame)) continue;
        for (const child of this.nodes.children[node] ?? []) {
          // Nobody looks at where a skinned mesh node stands.
          if (this.isIdle(child) && !set.has(child)) continue;
          open.push({ node: child, parent: step.frame });
        }
      }
    }
    const why = whyNotCarried(this.json, framesOfSteps(this.nodes, steps));
    return why === null ? { steps } : { why };
  }

  /** Null where the node has to be set but is no similarity, so that its children cannot take it. */
  private step(
    node: number,
    parent: Similarity,
    local: Similarity | undefined,
    rescale: number | undefined,
  ): Step | null {
    const before = inverseOf(parent);
    if (local === undefined) {
      const takesScale = this.carriers.has(node);
      const factor = rescale ?? (takesScale ? 1 : before.scale);
      const frame = takesScale ? scaleAlone(parent.scale * factor) : NO_CHANGE;
      return { before, factor, local: null, frame };
    }
    const isLeaf = (this.nodes.children[node] ?? []).length === 0;
    const old = similarityOf(mat4At(this.nodes.local, node));
    if (old === null) return isLeaf ? { before, factor: 1, local, frame: NO_CHANGE } : null;
    return { before, factor: 1, local, frame: after(inverseOf(old), after(parent, local)) };
  }

  /** What keeps a step from being exact, as what follows its subject. */
  private obstacle(node: number, { local, frame }: Step, rescaled: boolean): string | null {
    const clips = this.clips.get(node);
    const moving = local === null ? undefined : [...(clips?.values() ?? [])][0];
    if (moving !== undefined) return `is moved by the clip "${visible(moving)}"`;
    const scaling = rescaled ? this.scalingClips.get(node) : undefined;
    if (scaling !== undefined) return `is scaled by the clip "${visible(scaling)}"`;
    if (local === null && isNoChange(frame)) return null;
    const content = contentOf(this.json, node);
    if (content !== null) return `carries ${content}, which would look different`;
    if (this.unbound.has(node))
      return 'has no inverse bind matrix that could make up for the change';
    return null;
  }

  private isIdle(node: number): boolean {
    return (
      (this.nodes.children[node] ?? []).length === 0 &&
      !this.carriers.has(node) &&
      !this.placed.has(node) &&
      isPlacedBySkin(this.json, node) &&
      contentOf(this.json, node) === null
    );
  }

  private subject(node: number, asked: number): string {
    if (node === asked) return 'it';
    const name = this.nodes.names[node];
    return name == null || name === ''
      ? `node ${node}, below it,`
      : `"${visible(name)}", below it,`;
  }
}

const UNEVEN = 'is scaled unequally, skewed or mirrored, and nothing below it can take that over';

/** A stored scale in words: one factor where all are alike. */
export function scaleWords(nodes: NodeTable, node: number): string {
  const factors = vec3At(nodes.scale, node).map(significant);
  return new Set(factors).size === 1 ? (factors[0] ?? '1') : factors.join(' x ');
}
