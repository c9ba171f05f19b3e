import type { Repair } from './repair.js';
import { turnedFrames } from './repairs/frames.js';
import { idleJoints } from './repairs/idle-joints.js';
import { jointNames } from './repairs/names.js';
import { skinWeights } from './repairs/skin-weights.js';

/** All repairs, in the order they are applied: what stands above a joint before the joint itself, names last. */
export const REPAIRS: readonly Repair[] = [turnedFrames, skinWeights, idleJoints, jointNames];
