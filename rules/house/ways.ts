import type { Evidence } from '../../src/kit/finding.js';
import { ALL_AXES, type Axis, type Facts } from '../../src/measure/facts.js';
import { bindMesh } from '../../src/measure/geometry/bind-mesh.js';
import { vectorOf } from '../../src/measure/skeleton/way.js';
import { dot, scale, type Vec3 } from '../../src/rig/vec3.js';
import { arrow } from '../parts.js';

/** Length of an arrow beside a whole rig, as a share of its size. */
const ARROW = 0.3;

/** A direction of a whole rig, from its middle. */
export function wayArrow(facts: Facts, label: string, way: { readonly along: Vec3 }): Evidence {
  const { centre, size } = bindMesh(facts);
  return arrow(label, centre, scale(way.along, ARROW * size));
}

/** The axis of the world that a direction is nearest to; the first of several. */
export function nearestAxis(along: Vec3): Axis {
  const best = (a: Axis, b: Axis): Axis =>
    dot(vectorOf(b), along) > dot(vectorOf(a), along) + 1e-6 ? b : a;
  return ALL_AXES.reduce(best);
}
