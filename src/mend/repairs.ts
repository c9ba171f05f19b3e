import type { Repair } from './repair.js';
import { bindMatrices } from './repairs/bind-matrices.js';
import { chainDirection } from './repairs/chain-direction.js';
import { chainParent } from './repairs/chain-parent.js';
import { chainStretch } from './repairs/chain-stretch.js';
import { clipScaleKeys } from './repairs/clip-scales.js';
import { fitFrames } from './repairs/fit-frames.js';
import { fitNames } from './repairs/fit-names.js';
import { turnedFrames } from './repairs/frames.js';
import { holders } from './repairs/holders.js';
import { houseConvention } from './repairs/house-convention.js';
import { idleJoints } from './repairs/idle-joints.js';
import { jointPlaces } from './repairs/joint-places.js';
import { meshNodes } from './repairs/mesh-nodes.js';
import { jointNames } from './repairs/names.js';
import { restPose } from './repairs/rest-pose.js';
import { rigidFrames } from './repairs/rigid-frames.js';
import { rootSingle } from './repairs/root-single.js';
import { scaleUnit } from './repairs/scale-unit.js';
import { skinSpots } from './repairs/skin-spots.js';
import { skinWeights } from './repairs/skin-weights.js';
import { spacers } from './repairs/spacers.js';

/** All repairs, in the order they are applied: what is above a joint before the joint itself, names last. */
export const REPAIRS: readonly Repair[] = [
  bindMatrices,
  clipScaleKeys,
  rigidFrames,
  chainParent,
  restPose,
  holders,
  meshNodes,
  spacers,
  scaleUnit,
  rootSingle,
  chainDirection,
  chainStretch,
  jointPlaces,
  houseConvention,
  turnedFrames,
  fitFrames,
  skinSpots,
  skinWeights,
  idleJoints,
  jointNames,
  fitNames,
];
