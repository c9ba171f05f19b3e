import { drawSheet } from '../../src/draw/sheet.js';
import { drawnAsset, notDrawn } from './drawn-asset.js';
import { pictureFaults } from './picture-faults.js';
import type { Step } from './step.js';

/** `trysquare draw`: every rig from three sides, with its findings. */
export const drawStep: Step = {
  name: 'draw',
  async work(subject) {
    const { asset, scene } = await drawnAsset(subject);
    if (scene === null) return () => notDrawn(asset);
    const sheet = drawSheet(scene, asset);
    return () => ({ outcome: 'drawn', faults: pictureFaults('sheet', sheet) });
  },
};
