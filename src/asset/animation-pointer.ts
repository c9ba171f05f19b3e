import { memberOf } from './narrow.js';

/** The pointer of a channel's target (KHR_animation_pointer, Extension Usage); null where it has none. */
export function pointerOf(target: unknown): string | null {
  if (memberOf(target, 'path') !== 'pointer' || memberOf(target, 'node') !== undefined) return null;
  const extension = memberOf(memberOf(target, 'extensions'), 'KHR_animation_pointer');
  const pointer = memberOf(extension, 'pointer');
  return typeof pointer === 'string' ? pointer : null;
}

/**
 * The node that a channel moves, and which of its members, given plainly or by a pointer: both are the same
 * animation (KHR_animation_pointer, Examples, Node Rotation). Null where it moves none.
 */
export function targetOf(target: unknown): { node: number; path: string } | null {
  const [node, path] = [memberOf(target, 'node'), memberOf(target, 'path')];
  if (typeof node === 'number' && typeof path === 'string') return { node, path };
  const [, index, member] = NODE_TRANSFORM.exec(pointerOf(target) ?? '') ?? [];
  return index === undefined || member === undefined ? null : { node: Number(index), path: member };
}

/** Indices have no leading zeros (RFC 6901, 4). */
const NODE_TRANSFORM = /^\/nodes\/(0|[1-9]\d*)\/(translation|rotation|scale)$/;
