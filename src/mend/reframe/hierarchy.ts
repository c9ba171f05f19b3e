import { decompose, type Trs } from '../../rig/decompose.js';
import { compose, type Mat4, multiply } from '../../rig/mat4.js';
import type { NodeTable } from '../../rig/types.js';
import type { GltfJson } from '../json/gltf-json.js';
import { eigenvectors, polar, rotationOf, transposed } from './linear.js';
import type { Plan } from './reframing.js';
import { atMostUnit } from './unit-rotation.js';

/** Hangs nodes on other parents, in the place among siblings of what hung there before. */
export function reparent(json: GltfJson, nodes: NodeTable, parents: Plan['parents']): void {
  if (parents.size === 0) return;
  for (const [node, parent] of parents) {
    const from = json.nodes?.[nodes.parent[node] ?? -1];
    if (from?.children !== undefined)
      from.children = from.children.filter((child) => child !== node);
    const to = json.nodes?.[parent];
    if (to !== undefined) to.children = [...(to.children ?? []), node];
  }
  // glTF allows no empty list.
  for (const node of json.nodes ?? []) if (node.children?.length === 0) delete node.children;
  for (const [top, parent] of parents) {
    if (!parents.has(nodes.parent[top] ?? -1) || parents.has(parent)) continue;
    // The nodes of a run that was turned round; a set is walked through to what is added meanwhile.
    const run = new Set([top]);
    for (const above of run) for (const [node, over] of parents) if (over === above) run.add(node);
    for (const scene of json.scenes ?? [])
      if (scene.nodes !== undefined)
        scene.nodes = scene.nodes.map((node) => (run.has(node) ? top : node));
    for (const skin of json.skins ?? [])
      if (skin.skeleton !== undefined && run.has(skin.skeleton)) skin.skeleton = top;
  }
  // A scene lists roots alone (glTF 2.0, 3.5.1).
  for (const scene of json.scenes ?? [])
    scene.nodes &&= scene.nodes.filter((node) => (parents.get(node) ?? -1) === -1);
}

/** Puts a node between a joint and its other children that gives these back what the joint lost. */
export function hangBetween({ nodes }: GltfJson, { between }: Plan): void {
  for (const [parent, { back, children }] of between) {
    const joint = nodes?.[parent];
    const added = nodesFor(back);
    if (nodes === undefined || joint === undefined || added === null) continue;
    const [first, second] = added;
    const inner = second && nodes.push({ ...second, children: [...children] }) - 1;
    const outer = nodes.push({
      name: `${joint.name ?? `node ${parent}`}_shape`,
      ...first,
      children: inner === null ? [...children] : [inner],
    });
    const others = (joint.children ?? []).filter((child) => !children.includes(child));
    joint.children = [...others, outer - 1];
  }
}

type Part = { [key in keyof Trs]?: number[] };

/** A map A as one T R S, or two if its axes are not square: A = Q V d V^T. Null without an inverse. */
function nodesFor(map: Mat4): [Part, Part | null] | null {
  const split = polar(map);
  if (split === null) return null;
  const { translation, rotation, scale } = decompose(map);
  const whole = compose(translation, rotation, scale);
  const isOne = whole.every((value, at) => Math.abs(value - (map[at] ?? 0)) < 1e-9);
  if (isOne)
    return [
      { translation: [...translation], rotation: [...atMostUnit(rotation)], scale: [...scale] },
      null,
    ];
  const { axes, factors } = eigenvectors(split.stretch);
  const left = multiply(split.turn, axes);
  return [
    {
      translation: [...translation],
      rotation: [...atMostUnit(rotationOf(left))],
      scale: [...factors],
    },
    { rotation: [...atMostUnit(rotationOf(transposed(axes)))] },
  ];
}
