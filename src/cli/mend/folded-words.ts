import type { MendResult } from '../../mend/mend-asset.js';
import type { Change } from '../../mend/repair.js';
import { counted } from '../../report/finding-words.js';
import { isAtFault } from '../../report/verdicts.js';
import { visible } from '../../report/visible.js';
import { groupBy } from '../../rig/group-by.js';
import { likeWords } from './like-words.js';
import type { MendRecord } from './mend-record.js';
import { faultLines, laidOut, offenceWords, short, verdictWords } from './mend-words.js';
import { allowedWords, proofWords } from './proof-words.js';
import { notTakenWords } from './written-words.js';

/** Reasons that one block of many tells. */
const MOST_REASONS = 8;

/** One of many assets as a block: a line of how it ended, and in few lines what was done and what is left. */
export function foldedText(
  record: MendRecord,
  result: MendResult,
  columns: number | null,
  isQuiet: boolean,
): string {
  const { outcome, out, notTaken } = record;
  const { before, after, changes, offending, proof, allowed, notes } = result;
  const isFault = outcome === 'refused' || outcome === 'failed' || isAtFault(after.verdict);
  if (isQuiet && !isFault && notTaken.length === 0) return '';
  const lines = [`${before.path}: ${endWords(record, result)}.`];
  if (offending !== null) return laidOut([...lines, `  ${offenceWords(offending)}`], columns);
  if (!isQuiet)
    for (const alike of groupBy(changes, ({ rule }) => rule).values())
      lines.push(mendedWords(alike));
  const waived = before.findings.filter((finding) => finding.waived !== undefined).length;
  if (waived > 0 && !isQuiet)
    lines.push(`  left ${counted(waived, 'finding')} that ${waived === 1 ? 'is' : 'are'} waived`);
  lines.push(...faultLines(result, MOST_REASONS));
  if (changes.length > 0 && !isQuiet) {
    lines.push(`  ${proofWords(proof, allowed.length > 0)}`);
    if (allowed.length > 0) lines.push(`  ${allowedWords(allowed, proof)}`);
    lines.push(...likeWords(result).map((line) => `  ${line}`));
    lines.push(...notes.map((note) => `  Packed data: ${note}.`));
  }
  for (const one of notTaken) lines.push(`  ${notTakenWords(one, out ?? '')}`);
  return laidOut(lines, columns);
}

function endWords({ outcome, out, why }: MendRecord, { before, after }: MendResult): string {
  const was = verdictWords(before);
  if (outcome === 'left') return `${was}; nothing was mended, so it was left as it is`;
  if (outcome === 'copied') return `${was}; nothing was mended, so ${visible(out ?? '')} is a copy`;
  if (outcome === 'refused') return `${was}; nothing was written: ${why}`;
  const both = `${was} -> ${verdictWords(after)}`;
  if (outcome === 'failed') return `${both}; nothing was written: ${why}`;
  return outcome === 'planned' ? both : `${both}; written to ${visible(out ?? '')}`;
}

/** All that was mended for one rule. */
function mendedWords(alike: readonly Change[]): string {
  const places = [...new Set(alike.map(({ place }) => place))];
  const [first = ''] = places;
  const rule = alike[0]?.rule ?? '';
  if (alike.length === 1)
    return `  mended ${rule} at ${short(first)}: ${short(alike[0]?.before ?? '')} -> ${short(alike[0]?.after ?? '')}`;
  const more = places.length - 1;
  const also = more === 0 ? '' : ` and ${counted(more, 'more place')}`;
  return `  mended ${rule} at ${short(first)}${also}`;
}
