import type { PlaceReport } from '../report/report-types.js';
import { sameRigs } from '../rig/file-order.js';
import { nodePath } from '../rig/node-path.js';
import type { Rig, RigModel } from '../rig/types.js';

/** Something with a new name, by its path in a report. */
interface Rename {
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
    return [{ rig, places: places.filter((place) => place.old !== place.now) }];
  });
}

function jointRenames({ joints }: Rig, { joints: after }: Rig): Rename[] {
  return Array.from(joints.node).flatMap((node, joint): Rename[] => {
    const old = joints.paths[joint];
    const now = after.paths[after.ofNode[node] ?? -1];
    return old === undefined || now === undefined ? [] : [{ kind: 'joint', old, now }];
  });
}

/** Of the nodes that are not joints and that rules report. */
function nodeRenames(old: Rig, now: Rig): Rename[] {
  const reported = new Set([...old.holders, ...old.joints.spacers.flat(), ...old.meshNodes]);
  return [...reported].map((node) => ({
    kind: 'node',
    old: nodePath(old.nodes, node).join('/'),
    now: nodePath(now.nodes, node).join('/'),
  }));
}
