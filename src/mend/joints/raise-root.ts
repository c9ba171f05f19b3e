import type { Facts } from '../../measure/facts.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Rig, RigModel } from '../../rig/types.js';
import type { Editable } from '../file/editable.js';
import { inverseBindOf, writeInverseBinds } from '../file/inverse-bind.js';
import { FLAT } from '../reframe/plan-node.js';
import { freeName } from './free-name.js';
import { keepSkeletons, lineAboveAll, parentsOf } from './keep-skeletons.js';

/** A new joint that is to stand above all topmost joints of a rig. */
export interface NewRoot {
  readonly name: string;
  /** The node that it hangs on; -1 for none. */
  readonly parent: number;
  /** The nodes that hang on it. */
  readonly children: readonly number[];
  /** Whether these are the topmost joints, and no nodes between it and them. */
  readonly isNext: boolean;
  /** Inverse bind matrix by skin. */
  readonly bindOf: ReadonlyMap<number, Mat4>;
}

/**
 * Plans one joint at zero above all topmost joints, or tells why there can be none. It moves nothing, it
 * takes nothing from its place, and it is bound where it is at rest: its skinning matrix is that which
 * each skin is built by.
 */
export function planRoot(
  { json }: Editable,
  { rigs, nodes }: RigModel,
  facts: Facts,
): NewRoot | { readonly why: string } {
  const { rig } = facts;
  const parents = parentsOf(json);
  const tops = topsOf(rig);
  const parent = lineAboveAll(parents, tops).find((node) => !tops.includes(node)) ?? -1;
  const below = (top: number): number => childOf(parents, parent, top);
  const children = [...new Set(tops.map(below))];
  const others = rigs.filter((other) => other !== rig).flatMap(topsOf);
  if (others.some((top) => children.includes(below(top))))
    return {
      why: 'other rigs hang on the same nodes; hang all of it on one joint where you made the rig',
    };
  const scenesOf = (child: number): string =>
    String(json.scenes?.map((scene) => scene.nodes?.includes(child)));
  if (parent === -1 && new Set(children.map(scenesOf)).size > 1)
    return { why: 'its topmost joints stand in different scenes; put them into one' };
  const back = parent === -1 ? identity() : invert(mat4At(nodes.world, parent));
  if (back === null) return { why: `it hangs on a node that ${FLAT}` };
  const bindOf = new Map<number, Mat4>();
  for (const [place, { index, jointOfSlot, matrixCount }] of rig.skins.entries()) {
    if (matrixCount !== jointOfSlot.length) return { why: UNBOUND };
    bindOf.set(index, multiply(back, bindPose(facts).reference[place] ?? identity()));
  }
  const isNext = children.every((child) => tops.includes(child));
  return { name: freeName(json, 'root'), parent, children, isNext, bindOf };
}

const UNBOUND =
  'a skin has not one inverse bind matrix for each joint, so a new joint cannot be bound; bind the mesh again and export';

function topsOf({ joints }: Rig): number[] {
  return [...joints.node].filter((_, joint) => joints.parent[joint] === -1);
}

/** The node at or above another that hangs on `parent`. */
function childOf(parents: ReadonlyMap<number, number>, parent: number, node: number): number {
  let at = node;
  for (let above = parents.get(at); above !== undefined && above !== parent; ) {
    at = above;
    above = parents.get(at);
  }
  return at;
}

/** Puts the new joint into the tree, the scenes, and the end of the joint list of each skin. */
export function raiseRoot(edit: Editable, { name, parent, children, bindOf }: NewRoot): void {
  const { json } = edit;
  json.nodes ??= [];
  const root = json.nodes.push({ name, children: [...children] }) - 1;
  /** With the new joint where the first of those was that hang on it now. */
  const gathered = (list: readonly number[]): number[] => {
    const first = list.find((node) => children.includes(node));
    return list.flatMap((node) => (node === first ? root : children.includes(node) ? [] : node));
  };
  const above = json.nodes[parent];
  if (above?.children !== undefined) above.children = gathered(above.children);
  for (const scene of json.scenes ?? []) scene.nodes &&= gathered(scene.nodes);
  const matrices = [...bindOf].map(([skin, matrix]): [number, Float64Array] => [
    skin,
    Float64Array.of(...inverseBindOf(edit, skin), ...matrix),
  ]);
  for (const skin of bindOf.keys()) json.skins?.[skin]?.joints.push(root);
  writeInverseBinds(edit, new Map(matrices));
  keepSkeletons(json);
}
