import { basename } from 'node:path';
import type { MendResult, Offence } from '../mend/mend-asset.js';
import { counted } from '../report/finding-words.js';
import { PLAIN } from '../report/paint.js';
import type { AssetReport } from '../report/report-types.js';
import { makePen } from '../report/text.js';
import { visible } from '../report/visible.js';
import { allowedWords, proofWords, seenWords } from './proof-words.js';

/** Plan, proof and both verdicts; wrapped for a terminal, a line each for a program. */
export function mendText(result: MendResult, columns: number | null): string {
  const lines = linesOf(result).map(visible);
  if (columns === null) return `${lines.join('\n')}\n`;
  const pen = makePen({ columns: Math.min(columns, WIDEST), paint: PLAIN });
  const wrapped = lines.flatMap((line) => {
    const indent = line.startsWith(' ') ? 2 : 0;
    return pen.wrap(line.trimStart(), indent, indent + 2);
  });
  return `${wrapped.join('\n')}\n`;
}

/** Longer lines are hard to read. */
const WIDEST = 100;

function linesOf(result: MendResult): string[] {
  const { before, after, changes, left, proof, offending, allowed, notes } = result;
  const name = basename(before.path);
  const lines = [`${name}: ${verdictWords(before)}.`];
  for (const change of changes)
    lines.push(`  mend ${change.rule} at ${change.place}: ${change.before} -> ${change.after}`);
  for (const { rule, place, why } of left) lines.push(`  left ${rule} at ${place}: ${why}`);
  if (changes.length === 0) lines.push('  nothing to mend');
  if (offending !== null) {
    lines.push(
      `The repair "${offending.repair}" ${seenWords(offending.proof)}. Nothing is written.${waysPast(offending)}`,
    );
    return lines;
  }
  lines.push(proofWords(proof));
  if (allowed.length > 0) lines.push(allowedWords(allowed, proof));
  lines.push(
    ...notes.map((note) => `Packed data: ${note}.`),
    `Afterwards: ${verdictWords(after)}.`,
  );
  return lines;
}

/** How the user can have it all the same. */
function waysPast({ rules: ids }: Offence): string {
  if (ids.length === 0) return '';
  return ` To have it all the same, add --allow-change ${ids.join(',')}; to mend the rest, name the other rules with --only.`;
}

function verdictWords({ verdict, counts }: AssetReport): string {
  const words = (['error', 'warning', 'note'] as const).map((level) =>
    counted(counts[level], level),
  );
  return `${verdict}, ${words.join(', ')}`;
}
