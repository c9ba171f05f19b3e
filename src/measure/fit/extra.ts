import { fact } from '../facts.js';
import { counterparts } from './counterparts.js';
import { differences } from './differences.js';

/**
 * Joints that answer to none of the approved rig, in joint order. A joint that was put between two
 * others is left out: what hangs on it hangs on another joint than it should, which is told of that.
 */
export const extraJoints = fact((facts): readonly number[] => {
  const found = counterparts(facts);
  if (found === null) return [];
  const { parent } = facts.rig.joints;
  const between = new Set(differences(facts).rehung.map(({ joint }) => parent[joint]));
  return [...found.ofRig.keys()].filter(
    (joint) => found.ofRig[joint] === -1 && !between.has(joint),
  );
});
