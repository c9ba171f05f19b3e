/** How the names of the rules begin that compare with an approved rig. */
export const FITTING = 'fit.';
