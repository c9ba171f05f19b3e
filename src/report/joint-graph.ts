import type { Edge, Graph, Node } from 'sarif';
import type { RigReport } from './report-types.js';
import type { LogicalTable } from './sarif-logical.js';
import { MESSAGE_LENGTH, plainText } from './sarif-text.js';

/**
 * The joint tree of one rig as a graph (3.39): a node for each joint, an edge from each parent to
 * its child. Ids hold within their graph only (3.40.2, 3.41.2).
 *
 * @param order Place of the rig in its asset, which keeps the graphs of like rigs apart.
 */
export function jointGraph(
  rig: RigReport,
  order: number,
  assetPath: string,
  logical: LogicalTable,
): Graph {
  const nodes = rig.joints.map((joint, index): Node => {
    const place = logical.place('joint', joint.path);
    return {
      id: nodeId(index),
      label: { text: plainText(joint.name, MESSAGE_LENGTH) },
      // The index alone leads to the rest (3.33.3) and keeps long paths from being said twice.
      location: { logicalLocations: [{ index: place }] },
    };
  });
  const edges = rig.joints.flatMap((joint, index): Edge[] =>
    rig.joints[joint.parent] === undefined
      ? []
      : [{ id: `bone-${index}`, sourceNodeId: nodeId(joint.parent), targetNodeId: nodeId(index) }],
  );
  return {
    description: {
      text: plainText(`Joint tree of "${rig.name}" in ${assetPath}.`, MESSAGE_LENGTH),
    },
    nodes,
    edges,
    properties: { asset: assetPath, rig: order },
  };
}

function nodeId(joint: number): string {
  return `joint-${joint}`;
}
