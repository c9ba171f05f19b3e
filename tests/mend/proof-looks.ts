import { Editable } from '../../src/mend/file/editable.js';
import { type Looks, looksOf } from '../../src/mend/proof/looks.js';
import { type Proof, proveSame } from '../../src/mend/proof/proof.js';
import { reload } from '../../src/mend/proof/reload.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import type { RigModel } from '../../src/rig/types.js';
import { type Dresser, dressed } from './dressed.js';

/** Makes every number of a list from its place in it. */
export type Made = (at: number) => number;

/** A wave: normals and moves of morph targets need only be of many directions. */
const wave =
  (pace: number, height: number): Made =>
  (at) =>
    height * Math.sin(pace * (at + 1));

export const NORMALS = wave(0.7, 1);
export const TANGENTS: Made = (at) => (at % 4 === 3 ? (at % 8 === 3 ? 1 : -1) : wave(1.3, 1)(at));
export const DELTA = wave(0.9, 0.02);
export const TANGENT_DELTA = wave(3, 0.1);
export const NORMAL_DELTA = wave(0.31, 0.2);

/** What of the dress below is made in another way. */
export interface Unlike {
  readonly normals?: Made;
  /** Handedness and direction, four a vertex. */
  readonly tangents?: Made;
  /** Moves of the second morph target, and what it does to normals. */
  readonly delta?: Made;
  readonly normalDelta?: Made;
  /** Weights that the clip gives the two targets: three keys. */
  readonly keys?: readonly number[];
  /** Weights that the mesh is stored with. */
  readonly weights?: readonly number[];
  readonly dress?: (dresser: Dresser) => void;
}

export const KEYS: readonly number[] = [0, 0, 0.3, 0.8, 0, 0.2];

/** The heron with normals, tangents, two morph targets, and a clip that weighs these. */
export function lookedAt({
  normals = NORMALS,
  tangents = TANGENTS,
  delta = DELTA,
  normalDelta = NORMAL_DELTA,
  keys = KEYS,
  weights = [0.25, 0],
  dress = () => undefined,
}: Unlike = {}): Uint8Array {
  return dressed(
    'heron',
    () => undefined,
    (dresser) => {
      const mesh = dresser.nodes.findIndex((node) => node.mesh === 0);
      // The stored primitive is an object of its own, free to be given any property.
      const primitive = dresser.json.meshes?.[0]?.primitives[0] as unknown as {
        attributes: Record<string, number>;
        targets: Record<string, number>[];
      };
      const count = dresser.json.accessors[primitive.attributes.POSITION ?? 0]?.count ?? 0;
      const list = (made: Made, size: 3 | 4): number => {
        const values = Float32Array.from({ length: size * count }, (_, at) => made(at));
        // Positions of targets have bounds (glTF 2.0, 3.7.2.2).
        const along = (axis: number) => values.filter((_, at) => at % size === axis);
        const axes = [0, 1, 2];
        const bounds = {
          min: axes.map((axis) => Math.min(...along(axis))),
          max: axes.map((axis) => Math.max(...along(axis))),
        };
        return size === 3
          ? dresser.accessor(values, 'VEC3', bounds)
          : dresser.accessor(values, 'VEC4');
      };
      primitive.attributes.NORMAL = list(normals, 3);
      primitive.attributes.TANGENT = list(tangents, 4);
      primitive.targets = [
        { POSITION: list(wave(0.4, 0.01), 3), NORMAL: list(wave(0.2, 0.1), 3) },
        { POSITION: list(delta, 3), NORMAL: list(normalDelta, 3), TANGENT: list(TANGENT_DELTA, 3) },
      ];
      Object.assign(dresser.json.meshes?.[0] ?? {}, { weights });
      const output = dresser.accessor(Float32Array.from(keys), 'SCALAR');
      dresser.key(mesh, 'weights', [0, 0.5, 1], output, 'LINEAR');
      dress(dresser);
    },
  );
}

/** An asset as a mend reads it. */
export async function shown(bytes: Uint8Array): Promise<{ model: RigModel; looks: Looks }> {
  const edit = await Editable.fromBytes(bytes);
  const asset = await reload(edit.files(), null);
  const model = buildRigs(asset);
  return { model, looks: looksOf(asset, model) };
}

export async function prove(before: Uint8Array, after: Uint8Array): Promise<Proof> {
  const [a, b] = [await shown(before), await shown(after)];
  return proveSame(a.model, b.model, [a.looks, b.looks]);
}
