import type { Edge, Graph, Node } from 'sarif';
import type { RigReport } from './report-types.js';
import type { LogicalTable } from './sarif-logical.js';
import { messageText } from './sarif-text.js';

/**
 * The joint tree of one rig as a graph (3.39): a node for each joint, an edge from each parent to
 * its child. Ids are unique within their graph only (3.40.2, 3.41.2).
 *
 * @param order Place of the rig in its asset, which keeps the graphs of like rigs apart.
 */
export function jointGraph(
  { name, joints }: RigReport,
  order: number,
  asset: string,
  logical: LogicalTable,
): Graph {
  return {
    description: messageText(`Joint tree of "${name}" in ${asset}.`),
    nodes: joints.map(
      (joint, index): Node => ({
        id: `joint-${index}`,
        label: messageText(joint.name),
        // The index alone leads to the rest (3.33.3) and keeps long paths from being written twice.
        location: { logicalLocations: [{ index: logical.place('joint', joint.path).index }] },
      }),
    ),
    edges: joints.flatMap(({ parent }, index): Edge[] => {
      const ends = { sourceNodeId: `joint-${parent}`, targetNodeId: `joint-${index}` };
      return joints[parent] === undefined ? [] : [{ id: `bone-${index}`, ...ends }];
    }),
    properties: { asset, rig: order },
  };
}
