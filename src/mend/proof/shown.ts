import type { Asset } from '../../asset/load-asset.js';
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
  const shown = (json.nodes ?? []).flatMap((node, index): Shown[] =>
    contentOf(json, index) === null
      ? []
      : [{ node: index, name: node.name ?? `node ${index}`, points: pointsOf(json, node) }],
  );
  return { shown, clips: shown.length === 0 ? [] : buildClips(asset) };
}

const AXES: readonly Vec3[] = [
  [0, 0, 0],
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

function pointsOf(json: GltfJson, node: object): readonly Vec3[] {
  const mesh = 'mesh' in node && typeof node.mesh === 'number' ? json.meshes?.[node.mesh] : null;
  const points = (mesh?.primitives ?? []).flatMap(({ attributes }): Vec3[] => {
    const { min, max } = json.accessors?.[attributes.POSITION ?? -1] ?? {};
    if (min === undefined || max === undefined) return [];
    return Array.from({ length: 8 }, (_, corner): Vec3 => {
      const at = (axis: number): number => ((corner >> axis) & 1 ? max : min)[axis] ?? 0;
      return [at(0), at(1), at(2)];
    });
  });
  return points.length > 0 ? points : AXES;
}
