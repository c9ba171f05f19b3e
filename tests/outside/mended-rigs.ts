// Mends every asset of a folder and shows the old and the new to three.js, whose reader, mixer and skinning are
// not ours. By hand:
//
//   npx tsx tests/outside/mended-rigs.ts FOLDER [--all] [PART OF A NAME ...]
//
// `--all` asks for everything that a mend only does when asked. Writes nothing. Ends with 1 where a vertex is
// more than 1e-5 of size off, a mend took longer than 30 s or, by default, made something worse or was refused.
import { argv, stdout } from 'node:process';
import {
  type Asked,
  assetsIn,
  breaches,
  type MendedRow,
  mendRow,
} from '../support/mended-table.js';

const [folder, ...rest] = argv.slice(2);
if (folder === undefined) throw new Error('name a folder');
const asked: Asked = rest.includes('--all') ? 'everything' : 'default';
const parts = rest.filter((part) => part !== '--all');

const rows: MendedRow[] = [];
for (const file of assetsIn(folder)) {
  if (parts.length > 0 && !parts.some((part) => file.includes(part))) continue;
  const row = await mendRow(folder, file, asked);
  rows.push(row);
  stdout.write(`${line(row)}\n`);
}
stdout.write(`\n${totals(rows)}\n`);
const broken = rows.flatMap((row) => breaches(row, asked).map((why) => `${row.file}: ${why}`));
for (const breach of broken) stdout.write(`${breach}\n`);
process.exitCode = broken.length > 0 ? 1 : 0;

function line(row: MendedRow): string {
  const { file, seconds, apart, changes, growth, levels, verdicts, refused } = row;
  const shown = typeof apart === 'string' ? apart : apart.share.toExponential(1);
  const told = refused ?? `${verdicts}, ${levels}, ${changes} changes, ${growth} bytes more`;
  return `${file.padEnd(54)} ${seconds.toFixed(1).padStart(5)} s  ${shown.padEnd(8)} ${told}`;
}

function totals(all: readonly MendedRow[]): string {
  const compared = all.flatMap(({ apart }) => (typeof apart === 'string' ? [] : [apart]));
  const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0);
  const most = Math.max(0, ...compared.map(({ share }) => share));
  return [
    `${all.length} files, ${compared.length} shown to three.js:`,
    `${sum(compared.map(({ vertices }) => vertices))} vertices, ${sum(compared.map(({ clips }) => clips))} clips,`,
    `largest difference ${most.toExponential(1)} of size;`,
    `${all.filter(({ worse }) => worse.length > 0).length} worse,`,
    `${all.filter(({ refused }) => refused !== null).length} refused or unreadable,`,
    `longest ${Math.max(0, ...all.map(({ seconds }) => seconds)).toFixed(1)} s`,
  ].join(' ');
}
