import { memberOf } from './narrow.js';

/** What of a node a channel of a clip moves. */
export interface ChannelTarget {
  readonly node: number;
  readonly path: string;
}

/** The pointer of a channel's target (KHR_animation_pointer, Extension Usage); null where it has none. */
export function pointerOf(target: unknown): string | null {
  if (memberOf(target, 'path') !== 'pointer' || memberOf(target, 'node') !== undefined) return null;
  const pointer = memberOf(
    memberOf(memberOf(target, 'extensions'), 'KHR_animation_pointer'),
    'pointer',
  );
  return typeof pointer === 'string' ? pointer : null;
}

/**
 * The node that a channel moves, and what of it, said plainly or by a pointer: both are the same
 * animation (KHR_animation_pointer, Examples, Node Rotation). Null where it moves none.
 */
export function targetOf(target: unknown): ChannelTarget | null {
  const [node, path] = [memberOf(target, 'node'), memberOf(target, 'path')];
  if (typeof node === 'number' && typeof path === 'string') return { node, path };
  const pointed = NODE_TRANSFORM.exec(pointerOf(target) ?? '');
  if (pointed?.[1] === undefined || pointed[2] === undefined) return null;
  return { node: Number(pointed[1]), path: pointed[2] };
}

/** Indices have no leading zeros (RFC 6901, 4). */
const NODE_TRANSFORM = /^\/nodes\/(0|[1-9]\d*)\/(translation|rotation|scale)$/;
