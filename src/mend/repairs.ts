import type { Repair } from './repair.js';
import { turnedFrames } from './repairs/frames.js';

/** All repairs, in the order they are applied: what stands above a joint before the joint itself. */
export const REPAIRS: readonly Repair[] = [turnedFrames];
