import type { PlaceReport } from '../report/report-types.js';
import { sameRigs } from '../rig/file-order.js';
import { nodePath } from '../rig/node-name.js';
import type { Rig, RigModel } from '../rig/types.js';

/** Something that is called otherwise than before, by its path as a report has it. */
export interface Rename {
  readonly kind: PlaceReport['kind'];
  readonly old: string;
  readonly now: string;
}

/** What of a rig has another name. */
export interface RigRenames {
  readonly rig: { readonly old: string; readonly now: string };
  readonly places: readonly Rename[];
}

/** What a mend gave another name, rig by rig. A mend keeps the indices of nodes. */
export function renamesOf(before: RigModel, after: RigModel): RigRenames[] {
  return sameRigs(before.rigs, after.rigs).flatMap(([old, now]) => {
    if (now === undefined) return [];
    const rig = { old: old.name, now: now.name };
    const places: Rename[] = [
      ...jointRenames(old, now),
      ...nodeRenames(old, now),
      { kind: 'rig', ...rig },
      // A skin without a name has that of its rig.
      { kind: 'skin', ...rig },
    ];
    return [{ rig, places: places.filter((item) => item.old !== item.now) }];
  });
}

function jointRenames(old: Rig, now: Rig): Rename[] {
  return Array.from(old.joints.node).flatMap((node, joint): Rename[] => {
    const own = old.joints.paths[joint];
    const next = now.joints.paths[now.joints.ofNode[node] ?? -1];
    return own === undefined || next === undefined ? [] : [{ kind: 'joint', old: own, now: next }];
  });
}

/** Of the nodes that are no joints and that rules speak of. */
function nodeRenames(old: Rig, now: Rig): Rename[] {
  const spoken = new Set([...old.holders, ...old.joints.spacers.flat(), ...old.meshNodes]);
  return [...spoken].map((node) => ({
    kind: 'node',
    old: nodePath(old.nodes, node).join('/'),
    now: nodePath(now.nodes, node).join('/'),
  }));
}
