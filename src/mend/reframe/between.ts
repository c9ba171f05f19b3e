import { decompose } from '../../rig/decompose.js';
import { compose, identity, type Mat4, multiply } from '../../rig/mat4.js';
import type { Editable } from '../file/editable.js';
import type { NodeJson } from '../json/gltf-json.js';
import { ownAxes, polar, rotationOf, transposed } from './linear.js';
import type { Plan } from './reframing.js';

/** A node between a joint and its other children gives these back what the joint lost. */
export function hangBetween(edit: Editable, { between }: Plan): void {
  for (const [parent, { back, children }] of between) {
    const moved = [...children];
    const json = edit.json.nodes;
    const owner = json?.[parent];
    const split = polar(back);
    if (json === undefined || owner === undefined || split === null) continue;
    const [first, second] = twoNodes(back);
    const inner = second === null ? null : json.push({ ...second, children: moved }) - 1;
    const outer = json.push({
      name: `${owner.name ?? `node ${parent}`}_shape`,
      ...first,
      children: inner === null ? moved : [inner],
    });
    owner.children = [
      ...(owner.children ?? []).filter((child) => !moved.includes(child)),
      outer - 1,
    ];
  }
}

type Part = Pick<NodeJson, 'translation' | 'rotation' | 'scale'>;

/** A linear map as one T R S, or as two where its axes are not square: A = Q V d V^T. */
function twoNodes(map: Mat4): [Part, Part | null] {
  const { translation, rotation, scale } = decompose(map);
  const whole = compose(translation, rotation, scale);
  const isOne = whole.every((value, at) => Math.abs(value - (map[at] ?? 0)) < 1e-9);
  if (isOne)
    return [{ translation: [...translation], rotation: [...rotation], scale: [...scale] }, null];
  const split = polar(map);
  const { axes, factors } = ownAxes(split?.stretch ?? identity());
  const left = multiply(split?.turn ?? identity(), axes);
  return [
    { translation: [...translation], rotation: [...rotationOf(left)], scale: [...factors] },
    { rotation: [...rotationOf(transposed(axes))] },
  ];
}
