/**
 * What to do, step by step, by rule. `{name}` stands for a limit of the rule, with its unit, and
 * `[axis.up]` leads to the entry of another rule, `[in-the-file]` to the formulas.
 */
export type Steps = Readonly<Record<string, readonly string[]>>;
