/** Whether a rule is the one that was named, or one of the family that was named. */
export function isOfRule(named: string | undefined, id: string): boolean {
  return named === undefined || id === named || id.startsWith(`${named}.`);
}
