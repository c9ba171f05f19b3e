import { fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import type { Side } from './sides.js';

/** Where the asset's humanoid mapping puts each joint; null for what it does not name. */
export const mappedSides = fact(({ rig }): readonly (Side | 'middle' | null)[] => {
  const sides: (Side | 'middle' | null)[] = Array.from({ length: rig.joints.count }, () => null);
  for (const [bone, joint] of rig.humanoid?.joints ?? []) sides[joint] = sideOfBone(bone);
  return sides;
});

/** Joints that are the left and the right of one bone. */
export const mappedPairs = fact(({ rig }): readonly { left: number; right: number }[] => {
  const mapped = new Map<string, number>(rig.humanoid?.joints ?? []);
  return [...mapped].flatMap(([bone, left]) => {
    if (sideOfBone(bone) !== 'left') return [];
    const right = mapped.get(`right${bone.slice('left'.length)}`);
    return right === undefined ? [] : [{ left, right }];
  });
});

/**
 * Whether left is at larger (1) or smaller (-1) X: as in most mapped pairs, else as the asset
 * faces. Left is at +X of what faces +Z, as a glTF asset does (glTF 2.0, 3.4 Coordinate System and
 * Units) and VRM 1.0 (`tpose.md`, Definition 1.1); VRM 0.x faces -Z (`README.md`, VRM rules).
 */
export const leftSign = fact((facts): 1 | -1 => {
  const { places } = bindPose(facts);
  let votes = 0;
  for (const { left, right } of mappedPairs(facts))
    votes += Math.sign((places[left]?.[0] ?? 0) - (places[right]?.[0] ?? 0));
  if (votes !== 0) return votes > 0 ? 1 : -1;
  return facts.rig.humanoid?.version === '0.x' ? -1 : 1;
});

/** All sided bones begin with their side, and no other bone does. */
function sideOfBone(bone: string): Side | 'middle' {
  if (bone.startsWith('left')) return 'left';
  return bone.startsWith('right') ? 'right' : 'middle';
}
