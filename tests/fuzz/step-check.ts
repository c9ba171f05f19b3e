import { checkAsset, checkAssetBytes } from '../../src/check/check-asset.js';
import { faultsOf, writerFaults } from './report-faults.js';
import type { Step } from './step.js';

/** `trysquare check`, in every format. */
export const checkStep: Step = {
  name: 'check',
  async work({ mutant, path, settings }) {
    const told: string[] = [];
    const options = {
      settings,
      name: `mutant.${mutant.ending}`,
      onText: (json: string) => void told.push(json),
    };
    const asset =
      mutant.external === null
        ? await checkAssetBytes(mutant.main, options)
        : await checkAsset(path, options);
    return () => ({
      outcome: asset.verdict,
      faults: [...faultsOf(asset), ...writerFaults(asset, told[0] ?? null)],
    });
  },
};
