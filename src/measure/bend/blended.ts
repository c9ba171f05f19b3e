/**
 * A share nearer to none or all than this counts as that: dabs left over from painting would make
 * whole limbs part of the zone, and thin out what happens at the joint.
 */
export const NEXT_TO_NOTHING = 0.01;

/** Whether a vertex is drawn both ways: neither standing still nor turning along. */
export function isBlended(share: number): boolean {
  return share >= NEXT_TO_NOTHING && share <= 1 - NEXT_TO_NOTHING;
}
