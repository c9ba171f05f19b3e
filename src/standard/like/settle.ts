import { AssetError } from '../../asset/errors.js';
import type { Rule } from '../../kit/rule.js';
import { parseStandard } from '../read-standard.js';
import { failingIn, type SeenFile } from './approved-file.js';
import { fitRigs } from './fit-rigs.js';
import { type LikeDraft, likeText } from './write-like.js';

/**
 * Loosens until all files are sound under the standard as it is written, and gives what is still found
 * then: the number of rigs by rule. Gives a file instead that the conventions of the draft make unsound
 * where it was not so without them. Throws AssetError for a file that cannot be read again.
 */
export async function settle(
  draft: LikeDraft,
  seen: readonly SeenFile[],
  rules: readonly Rule[],
): Promise<ReadonlyMap<string, number> | string> {
  const { conventions, loosening } = draft;
  for (let round = 1; ; round++) {
    const { settings } = parseStandard(likeText(draft, rules), 'made from these rigs', rules);
    const before = loosening.changes;
    const left = new Map<string, Set<string>>();
    for (const { file, failing } of seen) {
      let found: ReturnType<typeof fitRigs> = [];
      const report = await file.read(settings, (model) => {
        found = fitRigs(model, file.name, settings, loosening);
      });
      if (report.unreadable !== null)
        throw new AssetError(
          `${file.name} was read once, but cannot be read again: ${report.unreadable.reason}`,
          report.unreadable.where,
        );
      const isHarmed = [...failingIn(report.findings)].some((identity) => !failing.has(identity));
      if (round === 1 && conventions.aim !== null && isHarmed) return file.name;
      for (const [rule, rig] of found) left.set(rule, (left.get(rule) ?? new Set()).add(rig));
    }
    // Nothing had to be granted: this text is one that all are sound under.
    if (loosening.changes === before)
      return new Map([...left].map(([rule, rigs]) => [rule, rigs.size]));
  }
}
