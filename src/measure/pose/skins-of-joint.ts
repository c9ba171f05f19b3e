import { fact } from '../facts.js';

/** The skins that list each joint, as places in the rig's list, in order. */
export const skinsOfJoint = fact(({ rig }): readonly (readonly number[])[] => {
  const skins: number[][] = Array.from({ length: rig.joints.count }, () => []);
  for (const [place, { jointOfSlot }] of rig.skins.entries())
    for (const joint of new Set(jointOfSlot)) skins[joint]?.push(place);
  return skins;
});
