import { assetName, counted, failedWords } from '../../report/finding-words.js';
import type { AssetReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { tell } from '../output/write-output.js';

/** Says on standard error that rules of the house's own failed: a line a rule, however many the assets. */
export class FailedRules {
  /** By rule: how many assets it failed on. */
  private readonly assets = new Map<string, number>();

  constructor(private readonly io: Io) {}

  get any(): boolean {
    return this.assets.size > 0;
  }

  /** Says so at once for the first asset of a rule. */
  async add(asset: AssetReport): Promise<void> {
    for (const rule of new Set(asset.failed?.map((failed) => failed.rule))) {
      const count = (this.assets.get(rule) ?? 0) + 1;
      this.assets.set(rule, count);
      const first = asset.failed?.find((failed) => failed.rule === rule);
      if (count === 1 && first !== undefined)
        await tell(this.io, visible(`${assetName(asset)}: ${failedWords(first, asset)}`));
    }
  }

  /** Says of how many assets more that was true. */
  async end(): Promise<void> {
    for (const [rule, count] of this.assets)
      if (count > 1)
        await tell(this.io, `the rule ${rule} failed on ${counted(count - 1, 'more asset')}`);
  }
}
