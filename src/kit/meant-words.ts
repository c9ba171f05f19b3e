/** What is left to do where a pose is meant so, as a house says it. */
export const MEANT_POSE =
  'If this pose is intended, bind the mesh again in the stored pose, or say so in the standard ("rest": "posed").';

/** The same for a student, who has no standard to write in. */
export const MEANT_POSE_ALONE = 'If this pose is intended, bind the mesh again in the stored pose.';
