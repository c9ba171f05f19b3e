/** A mend that moves anything by more is not written. Share of the rig's size: what float32 leaves. */
export const LARGEST_SHIFT = 1e-5;

/**
 * A mend that turns a normal or a tangent by more is not written. Degrees. Float32 holds a matrix to some
 * 6e-8 of its scale; along a chain of twenty joints, times an inverse bind matrix, 1e-6 is left, and
 * where joints blend a normal down to a hundredth of its length (`NOISE`), that is 1e-4 rad or 0.006°.
 */
export const LARGEST_TURN = 0.01;

/** A bound below this share of size needs no closer look. */
export const SURE_SHIFT = LARGEST_SHIFT / 10;

/** The same of an angle. Degrees. */
export const SURE_TURN = LARGEST_TURN / 10;

/**
 * Joints that turn a normal against each other can blend it away, and so can morph targets that add to it.
 * What is left of it, as a share of what each gives by itself, has a direction only above this: below,
 * rounding alone turns it past the limit.
 */
export const NOISE = 0.01;
