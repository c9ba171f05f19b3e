import { visible } from '../../report/visible.js';
import type { NodeTable, RigModel } from '../../rig/types.js';
import { namedNodes } from '../carry/named-nodes.js';
import type { GltfJson } from '../json/gltf-json.js';
import { contentOf, isPlacedBySkin } from '../json/node-content.js';
import type { MendContext } from '../repair.js';
import { type ClipTable, keyedClips } from './clip-table.js';

/** A file that is to be changed, and the rigs in it as they are now. */
export type Opened = Pick<MendContext, 'edit' | 'model'>;

/** What a file allows and what moves in it, looked up once for all reframings that are tried. */
export class Ground {
  readonly json: GltfJson;
  readonly nodes: NodeTable;
  /** Joints, spacers and holders of all rigs: all that is between the scene and a joint. */
  readonly carriers: ReadonlySet<number>;
  /** Nodes whose place or frame an extension needs. */
  readonly placed: ReadonlySet<number>;
  readonly clips: ClipTable;
  private readonly unbound: ReadonlySet<number>;

  constructor(readonly opened: Opened) {
    const { edit, model } = opened;
    this.json = edit.json;
    this.nodes = model.nodes;
    this.carriers = new Set(
      model.rigs.flatMap(({ joints, holders }) => [
        ...joints.node,
        ...holders,
        ...[...new Set(joints.spacers)].flat(),
      ]),
    );
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

  /** Whether the place of a node does not matter to anybody: a skinned mesh alone. */
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

/**
 * Nodes of the joints of skins that give fewer matrices than they have joints, or none while they move a
 * mesh. A missing matrix is the identity (glTF 2.0, 3.7.3.1), so one that undoes a change could be
 * written. But then the file would say where that joint was built, at the origin of its new frame, where
 * it said nothing before: a rig that is measured in its stored pose would be measured by one that it
 * never had.
 */
function jointsWithoutMatrix({ rigs }: RigModel): Set<number> {
  const found = rigs.flatMap(({ skins, joints, parts }) =>
    skins.flatMap(({ matrixCount, jointOfSlot }, place) => {
      const isShown = parts.some(({ skin }) => skin === place);
      const isShort = matrixCount === null ? isShown : matrixCount < jointOfSlot.length;
      return isShort ? Array.from(jointOfSlot, (joint) => joints.node[joint] ?? -1) : [];
    }),
  );
  return new Set(found);
}
