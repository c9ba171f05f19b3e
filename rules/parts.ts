import type { Evidence, Finding, Place, Unit } from '../src/kit/finding.js';
import type { LimitSpec } from '../src/kit/rule.js';
import type { Words } from '../src/kit/words.js';
import type { LocalScale } from '../src/measure/pose/local-scale.js';
import type { Vec3 } from '../src/rig/vec3.js';

export { worstOf } from '../src/measure/worst-of.js';

/** A limit of a rule: its default, the unit, and what is compared with it, as a clause. */
export function limit(byDefault: number, unit: Unit, tells: string): LimitSpec {
  return { default: byDefault, unit, tells };
}

type Measured = Pick<Finding, 'measured' | 'limit' | 'unit'>;

/** What was measured, and the limit that it is past, in one unit. */
export function against(measured: number, limit: number, unit: Unit): Measured {
  return { measured, limit, unit };
}

export function point(label: string, at: Vec3): Evidence {
  return { kind: 'point', label, at };
}

export function line(label: string, points: readonly Vec3[]): Evidence {
  return { kind: 'line', label, points };
}

export function arrow(label: string, from: Vec3, along: Vec3): Evidence {
  return { kind: 'arrow', label, from, along };
}

/** `; the same is true of "a", "b"`: how a message about the worst joint goes on to the others. */
export function sameOf(others: readonly { readonly joint: number }[], words: Words): string {
  const joints = others.map(({ joint }) => joint);
  return joints.length === 0 ? '' : `; the same is true of ${words.joints(joints)}`;
}

/** The place of a finding about a stored scale: the joint, else the node. */
export function scaledPlace({ joint, node }: LocalScale): Place {
  return joint === -1 ? { kind: 'node', node } : { kind: 'joint', joint };
}
