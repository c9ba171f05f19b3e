import type { Asset } from '../../asset/load-asset.js';
import { memberOf } from '../../asset/narrow.js';
import { buildClips } from '../../rig/build-clips.js';
import type { Clip } from '../../rig/types.js';
import type { Vec3 } from '../../rig/vec3.js';
import type { GltfJson } from '../json/gltf-json.js';
import { contentOf } from '../json/node-content.js';

/** A node that shows something at its place: a plain mesh, a camera, a light. */
export interface Shown {
  readonly node: number;
  readonly name: string;
  /** Points in its own frame to compare: the corners of its meshes, or the ends of its axes. */
  readonly points: readonly Vec3[];
}

/** All that is seen of a file besides its skins, and the clips that move any of it. */
export interface ShownScene {
  readonly shown: readonly Shown[];
  readonly clips: readonly Clip[];
}

export function shownScene(asset: Asset): ShownScene {
  // That it was read as an asset has shown that it is one.
  const json = asset.container.json as GltfJson;
  const shown = (json.nodes ?? []).flatMap((node, index): Shown[] => {
    if (contentOf(json, index) === null) return [];
    const mesh = memberOf(node, 'mesh');
    const corners = typeof mesh === 'number' ? cornersOf(json, mesh) : [];
    const points = corners.length > 0 ? corners : AXES;
    return [{ node: index, name: node.name ?? `node ${index}`, points }];
  });
  return { shown, clips: shown.length === 0 ? [] : buildClips(asset) };
}

const AXES: readonly Vec3[] = [
  [0, 0, 0],
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

function cornersOf({ meshes, accessors }: GltfJson, mesh: number): Vec3[] {
  return (meshes?.[mesh]?.primitives ?? []).flatMap(({ attributes }) => {
    const { min, max } = accessors?.[attributes.POSITION ?? -1] ?? {};
    if (min === undefined || max === undefined) return [];
    return Array.from({ length: 8 }, (_, corner): Vec3 => {
      const along = (axis: number): number => ((corner >> axis) & 1 ? max : min)[axis] ?? 0;
      return [along(0), along(1), along(2)];
    });
  });
}
