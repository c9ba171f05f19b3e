import type { PlaceReport } from '../report/report-types.js';
import { sameRigs } from '../rig/file-order.js';
import { nodePath } from '../rig/node-name.js';
import type { RigModel } from '../rig/types.js';

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
    const joints = Array.from(old.joints.node).flatMap((node, joint): Rename[] => {
      const [path, newPath] = [
        old.joints.paths[joint],
        now.joints.paths[now.joints.ofNode[node] ?? -1],
      ];
      const isThere = path !== undefined && newPath !== undefined;
      return isThere ? [{ kind: 'joint', old: path, now: newPath }] : [];
    });
    // Nodes that are not joints and that rules report.
    const others = new Set([...old.holders, ...old.joints.spacers.flat(), ...old.meshNodes]);
    const nodes = Array.from(others, (node): Rename => {
      const [path, newPath] = [nodePath(old.nodes, node), nodePath(now.nodes, node)];
      return { kind: 'node', old: path.join('/'), now: newPath.join('/') };
    });
    // A skin without a name has that of its rig.
    const places: Rename[] = [
      ...joints,
      ...nodes,
      { kind: 'rig', ...rig },
      { kind: 'skin', ...rig },
    ];
    return [{ rig, places: places.filter((place) => place.old !== place.now) }];
  });
}
