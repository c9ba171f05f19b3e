/** The local axes of a joint, as people call them, in the order of their numbers. */
export const LETTERS = ['X', 'Y', 'Z'] as const;

/** The letter of a local axis. */
export type Letter = (typeof LETTERS)[number];
