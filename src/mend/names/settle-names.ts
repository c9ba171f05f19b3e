/** A node, and the name that it is to get. */
export interface AskedName {
  readonly node: number;
  readonly name: string;
}

/**
 * Which of some names cannot be given, and why: nodes get them all at once, so that two can exchange
 * theirs. Where one has to keep its name, whoever was to get that keeps his, too.
 *
 * @param names Of all nodes of the file; null for none.
 * @param rightful Nodes that may share a name with another: the name that each of them may share.
 * @param referredTo Names that something in the file refers to.
 */
export function settleNames(
  names: readonly (string | null)[],
  asked: readonly AskedName[],
  rightful: ReadonlyMap<number, string>,
  referredTo: ReadonlySet<string>,
): Map<number, string> {
  const refused = new Map<number, string>();
  for (const { node } of asked) {
    const name = names[node] ?? null;
    if (name !== null && referredTo.has(name)) refused.set(node, REFERRED);
  }
  for (let before = -1; before < refused.size; ) {
    before = refused.size;
    const given = new Map(
      asked.flatMap(({ node, name }) => (refused.has(node) ? [] : [[node, name] as const])),
    );
    // Whoever may share a name with its namesakes is in nobody's way.
    const holders = new Map<string, number>();
    for (const [node, name] of names.entries()) {
      const final = given.get(node) ?? name;
      if (final !== null && !given.has(node) && rightful.get(node) !== final)
        holders.set(final, node);
    }
    for (const [node, name] of given)
      if (holders.has(name)) refused.set(node, `another node is named "${name}"`);
  }
  return refused;
}

const REFERRED = 'an extension or extras refer to it by its name';
