import type { Evidence, Finding, Place, Unit } from '../src/kit/finding.js';
import type { LimitSpec } from '../src/kit/rule.js';
import type { Words } from '../src/kit/words.js';
import { ALL_AXES } from '../src/measure/facts.js';
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

/** `limit 4`; where the limit of a count is 0, `none is allowed`, or `no such joints are allowed`. */
export function mostWords(limit: number | null | undefined, noun = ''): string {
  const count = limit ?? 0;
  if (count > 0) return `limit ${count}${noun === '' ? '' : ` ${noun}`}`;
  return noun === '' ? 'none is allowed' : `no ${noun} are allowed`;
}

/** A turn about an axis is called by its letter from here on: the cosine of 1 degree. */
const LETTER_COSINE = Math.cos(Math.PI / 180);

/**
 * `its +X axis`, or `its axis (0.71, 0, 0.71)` for one between the letters.
 *
 * @param axis Unit vector along the axes of the frame that is turned.
 */
export function axisWords(axis: Vec3, words: Words): string {
  const letter = ALL_AXES.find(({ index, sign }) => sign * axis[index] >= LETTER_COSINE);
  if (letter !== undefined) return `its ${words.axis(letter)} axis`;
  // Two decimals are nearer than 1 degree; -0 is 0.
  const parts = axis.map((part) => words.number(Math.round(100 * part) / 100 + 0));
  return `its axis (${parts.join(', ')})`;
}

/** The place of a finding about a stored scale: the joint, else the node. */
export function scaledPlace({ joint, node }: LocalScale): Place {
  return joint === -1 ? { kind: 'node', node } : { kind: 'joint', joint };
}
