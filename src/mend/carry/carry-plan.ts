import { memberOf } from '../../asset/narrow.js';
import { visible } from '../../report/visible.js';
import { identity, type Mat4 } from '../../rig/mat4.js';
import type { GltfJson } from '../json/gltf-json.js';
import { type FrameChange, frameChange, UNCHANGED } from './frame-change.js';

/** The C of each node whose frame changes: its new world matrix is the old one times C. */
export type Frames = ReadonlyMap<number, Mat4>;

export interface Obstacle {
  /** One of these would have to keep its frame. */
  readonly nodes: readonly number[];
  readonly why: string;
}

interface Edit {
  readonly holder: Record<string, unknown>;
  readonly key: string;
  readonly value: unknown;
  /** JSON pointer (RFC 6901) of the value. */
  readonly pointer: string;
  readonly node: number;
}

/** All that has to change with the frames of nodes, gathered before anything is changed. */
export class CarryPlan {
  readonly obstacles: Obstacle[] = [];
  readonly edits: Edit[] = [];
  /** Of the nodes whose frames change at all; null where no shape keeps its form. */
  readonly changes = new Map<number, FrameChange | null>();
  private readonly parents = new Map<number, number>();

  constructor(
    readonly json: GltfJson,
    frames: Frames,
  ) {
    const same = identity();
    for (const [node, matrix] of frames)
      if (!matrix.every((value, i) => value === same[i]))
        this.changes.set(node, frameChange(matrix));
    json.nodes?.forEach(({ children }, node) => {
      for (const child of children ?? []) this.parents.set(child, node);
    });
  }

  /** A node by an index that a file gives; null where there is none. */
  nodeAt(index: unknown): number | null {
    return typeof index === 'number' && this.json.nodes?.[index] !== undefined ? index : null;
  }

  /** The parent of a node, -1 for none. */
  parentOf(node: number): number {
    return this.parents.get(node) ?? -1;
  }

  /** Whether the local transform of a node changes: its own frame, or its parent's. */
  concerns(node: number): boolean {
    return this.changes.has(node) || this.changes.has(this.parentOf(node));
  }

  /** What becomes of a node's frame. `what` (in words) is an obstacle where no shape keeps its form. */
  changeOf(node: number, what: string): FrameChange {
    const change = this.changes.get(node);
    if (change === null)
      this.refuse(
        [node],
        `${what} cannot follow ${this.say(node)}, because the node would be scaled unequally`,
      );
    return change ?? UNCHANGED;
  }

  refuse(nodes: readonly number[], why: string): void {
    this.obstacles.push({ nodes, why });
  }

  say(node: number): string {
    const name = this.json.nodes?.[node]?.name;
    return name === undefined || name === '' ? `node ${node}` : `"${visible(name)}"`;
  }
}

/** The extension of this name on any object of a file, or at its top. */
export function extensionOf(holder: unknown, name: string): unknown {
  return memberOf(memberOf(holder, 'extensions'), name);
}

export function itemsOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : [];
}

/** A value of the file that can be changed, if it is an object. */
export function objectOf(value: unknown): Record<string, unknown> | null {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return null;
  // Members of a JSON object are unknown to a reader, and whatever a mend writes there is JSON, too.
  return value as Record<string, unknown>;
}
