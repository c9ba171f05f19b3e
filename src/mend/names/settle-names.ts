import { groupBy } from '../../rig/group-by.js';

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
  const askers = groupBy(asked, ({ name }) => name);
  const open: [node: number, why: string][] = [];
  /** Whoever may share a name with its namesakes is in nobody's way. */
  const hold = (node: number): void => {
    const name = names[node] ?? null;
    if (name === null || rightful.get(node) === name) return;
    for (const asker of askers.get(name) ?? [])
      if (asker.node !== node) open.push([asker.node, `another node is named "${name}"`]);
  };
  const changing = new Set(asked.map(({ node }) => node));
  for (const node of names.keys()) {
    const isReferredTo = referredTo.has(names[node] ?? '');
    if (!changing.has(node)) hold(node);
    else if (isReferredTo) open.push([node, REFERRED]);
  }
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const [node, why] = next;
    if (refused.has(node)) continue;
    refused.set(node, why);
    hold(node);
  }
  return refused;
}

const REFERRED = 'an extension or extras refer to it by its name';
