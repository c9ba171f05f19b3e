import { angleWords, significant } from '../kit/figures.js';
import type { FindingReport } from '../report/report-types.js';
import { text } from './markup.js';

/** Units a bar is wide. */
const WIDTH = 200;

/** Where the limit stands, as a share of the width, when the measure is past it. */
const LEAST_LIMIT = 0.08;

/** Less than this is shown as 0, in any unit. */
const LEAST_SHOWN = 1e-4;

/** The measure as a bar against its limit, with both in words; empty where there is no measure. */
export function measureBar({ measured, limit, unit }: FindingReport): string {
  if (measured === null || limit === null || !(measured >= 0) || !(limit > 0)) return '';
  // A limit from below: what was measured falls short of it.
  const bound = measured < limit ? 'limit at least' : 'limit';
  const words = `${inUnit(measured, unit)} measured, ${bound} ${inUnit(limit, unit)}`;
  const most = Math.max(measured, limit);
  const end = (WIDTH * measured) / most;
  const mark = Math.max(
    WIDTH * LEAST_LIMIT * (limit / most < LEAST_LIMIT ? 1 : 0),
    (WIDTH * limit) / most,
  );
  const round = (value: number): number => Math.round(10 * value) / 10;
  return `<p class="measure"><svg class="bar" viewBox="0 0 ${WIDTH} 12" width="${WIDTH}" height="12" role="img" aria-label="${text(words)}"><rect class="bar-room" x="0" y="3" width="${WIDTH}" height="6" rx="3"/><rect class="bar-measured" x="0" y="3" width="${round(Math.max(2, end))}" height="6" rx="3"/><rect class="bar-limit" x="${round(Math.min(mark, WIDTH - 2))}" y="0" width="2" height="12"/></svg> <span>${text(words)}</span></p>`;
}

function inUnit(value: number, unit: string): string {
  if (unit === 'degrees') return angleWords(value);
  const number = value < LEAST_SHOWN ? '0' : significant(value);
  return unit === '' ? number : `${number} ${unit}`;
}
