/** Gives each name once: later ones get a number. */
export function distinct(): (name: string) => string {
  const given = new Set<string>();
  const next = new Map<string, number>();
  return (name) => {
    let number = next.get(name) ?? 1;
    let tried = number === 1 ? name : `${name} (${number})`;
    while (given.has(tried)) tried = `${name} (${++number})`;
    next.set(name, number + 1);
    given.add(tried);
    return tried;
  };
}
