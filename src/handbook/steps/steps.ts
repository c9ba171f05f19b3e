/**
 * What to do, step by step, by rule. `{name}` stands for a limit of the rule, with its unit, and
 * `[axis.up]` leads to the entry of another rule.
 */
export type Steps = Readonly<Record<string, readonly string[]>>;
