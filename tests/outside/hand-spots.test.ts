// Source: three.js (npm `three`) reading the generic hands of npm `@webxr-input-profiles/assets`
// (profile generic-hand), which nobody here made. On each hand one vertex at the root of the thumb hangs
// on the metacarpal of the little finger with 6 % of its weight, and no vertex about it does.
import { Box3, Vector3 } from 'three';
import { expect, test } from 'vitest';
import { findingsOf } from '../support/findings-of.js';
import { HAND_SIDES, handBytes } from '../support/hands.js';
import { loadInThree } from '../support/three-scene.js';

const JOINT = 'pinky-finger-metacarpal';
/** As the rule has them: share of the weight, and of the diagonal of the mesh. */
const [PAINTED, FAR] = [0.05, 0.1];

/** Vertices that a joint paints and that share no triangle with another one it moves at all, far from it. */
async function lonelyVertices(bytes: Uint8Array): Promise<number[]> {
  const { meshes } = await loadInThree(bytes);
  const [mesh] = meshes.map(({ object }) => object);
  if (mesh === undefined) throw new Error('the hand has no skin');
  const { position, skinIndex, skinWeight } = mesh.geometry.attributes;
  const { index } = mesh.geometry;
  if (!position || !skinIndex || !skinWeight || index === null) throw new Error('no such hand');
  const slot = mesh.skeleton.bones.findIndex((bone) => bone.name === JOINT);
  const share = Array.from({ length: position.count }, (_, vertex) =>
    [0, 1, 2, 3].reduce(
      (sum, k) =>
        sum + (skinIndex.getComponent(vertex, k) === slot ? skinWeight.getComponent(vertex, k) : 0),
      0,
    ),
  );
  const place = (vertex: number) => new Vector3().fromBufferAttribute(position, vertex);
  const key = (vertex: number) => place(vertex).toArray().join(' ');
  const moved = new Map<string, Set<string>>();
  for (let i = 0; i < index.count; i += 3) {
    const corners = [0, 1, 2].map((k) => index.getX(i + k));
    for (const corner of corners) {
      const about = moved.get(key(corner)) ?? new Set();
      moved.set(key(corner), about);
      for (const other of corners) if ((share[other] ?? 0) > 0) about.add(key(other));
    }
  }
  const inverse = mesh.skeleton.boneInverses[slot];
  if (inverse === undefined) throw new Error(`no ${JOINT}`);
  const joint = new Vector3().setFromMatrixPosition(inverse.clone().invert());
  const places = share.map((_, vertex) => place(vertex));
  const size = new Box3().setFromPoints(places).getSize(new Vector3()).length();
  return share.flatMap((own, vertex) => {
    const alone = [...(moved.get(key(vertex)) ?? [])].every((other) => other === key(vertex));
    return own > PAINTED && alone && place(vertex).distanceTo(joint) > FAR * size ? [vertex] : [];
  });
}

test.each(HAND_SIDES)('the %s hand has one stray vertex, and it is told', async (side) => {
  const bytes = handBytes(side);
  const lonely = await lonelyVertices(bytes);
  expect(lonely).toHaveLength(1);
  const { findings } = await findingsOf(bytes, 'skin.stray');
  expect(findings.map(({ place, vertices }) => [place.name, vertices])).toEqual([[JOINT, lonely]]);
});
