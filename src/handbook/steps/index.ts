import { axisSteps } from './axis.js';
import { chainSteps } from './chain.js';
import { fitSteps } from './fit.js';
import { houseSteps } from './house.js';
import { nameSteps } from './names.js';
import { restSteps } from './rest.js';
import { scaleSteps } from './scale.js';
import { skinSteps } from './skin.js';
import type { Steps } from './steps.js';

/** What to do about each rule of ours, step by step. */
export const STEPS: Steps = {
  ...restSteps,
  ...axisSteps,
  ...scaleSteps,
  ...chainSteps,
  ...skinSteps,
  ...nameSteps,
  ...fitSteps,
  ...houseSteps,
};
