import { visible } from '../../report/visible.js';
import type { NodeTable, RigModel } from '../../rig/types.js';
import { namedNodes } from '../carry/named-nodes.js';
import type { Editable } from '../file/editable.js';
import type { GltfJson } from '../json/gltf-json.js';
import { contentOf, isPlacedBySkin } from '../json/node-content.js';
import { type ClipTable, keyedClips } from './clip-table.js';

/** A file that is to be changed, and the rigs in it as they stand. */
export interface Opened {
  readonly edit: Editable;
  readonly model: RigModel;
}

/** What a reframing stands on, looked up once for all that are tried on one file. */
export class Ground {
  readonly json: GltfJson;
  readonly nodes: NodeTable;
  /** Joints, spacers and holders of all rigs: all that stands between the scene and a joint. */
  readonly carriers: ReadonlySet<number>;
  /** Nodes whose place or frame an extension needs. */
  readonly placed: ReadonlySet<number>;
  readonly clips: ClipTable;
  private readonly unbound: ReadonlySet<number>;

  constructor(readonly opened: Opened) {
    const { edit, model } = opened;
    this.json = edit.json;
    this.nodes = model.nodes;
    this.carriers = carriersOf(model);
    this.placed = namedNodes(edit.json).placed;
    this.clips = keyedClips(edit);
    this.unbound = jointsWithoutMatrix(model);
  }

  /** Why a node's frame has to stay as it is, as what follows its name; null where it can change. */
  whyItStays(node: number): string | null {
    const content = contentOf(this.json, node);
    if (content !== null)
      return `carries ${content}, which would look different; move that to a separate node below it`;
    if (this.unbound.has(node))
      return 'has no inverse bind matrix that could make up for the change; bind the mesh again and export';
    return null;
  }

  /** Whether nobody looks at where a node stands: a skinned mesh alone. */
  isIdle(node: number): boolean {
    return (
      (this.nodes.children[node] ?? []).length === 0 &&
      !this.carriers.has(node) &&
      !this.placed.has(node) &&
      isPlacedBySkin(this.json, node) &&
      contentOf(this.json, node) === null
    );
  }

  say(node: number): string {
    const name = this.nodes.names[node];
    return name == null || name === '' ? `node ${node}` : `"${visible(name)}"`;
  }
}

function carriersOf({ rigs }: RigModel): Set<number> {
  return new Set(
    rigs.flatMap(({ joints, holders }) => [
      ...joints.node,
      ...holders,
      ...[...new Set(joints.spacers)].flat(),
    ]),
  );
}

/**
 * Nodes of the joints of skins that give fewer matrices than they have joints, or none while they move a
 * mesh. A missing matrix is the identity (glTF 2.0, 3.7.3.1), so that one could be written that takes a
 * change back. But then the file says where that joint was built, at the origin of its new frame, where it
 * said nothing before: a rig that is measured as it stands would be measured by a pose that it never had.
 */
function jointsWithoutMatrix({ rigs }: RigModel): Set<number> {
  const found = new Set<number>();
  for (const { skins, joints, parts } of rigs)
    skins.forEach(({ matrixCount, jointOfSlot }, place) => {
      const isShort =
        matrixCount === null
          ? parts.some(({ skin }) => skin === place)
          : matrixCount < jointOfSlot.length;
      if (isShort) for (const joint of jointOfSlot) found.add(joints.node[joint] ?? -1);
    });
  return found;
}
