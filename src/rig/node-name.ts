/** A name of nothing but white space is none. */
export function isNamed(name: string | null | undefined): name is string {
  return name != null && name.trim() !== '';
}

/**
 * A name as a step of a path, with its number among siblings that share it. What the path itself is
 * written with is escaped, so that two paths never look alike.
 */
export function pathStep(name: string, repeat: number): string {
  return name.replace(/[\\/[]/g, '\\$&') + (repeat > 1 ? `[${repeat}]` : '');
}
