import { text } from '../markup.js';

/** Width of the room that a bar has; bars are stretched to the width of the page. */
const ROOM = 1000;
/** Bands that points are counted in. */
const BANDS = 10;

interface BarRow {
  /** HTML. */
  readonly label: string;
  readonly value: number;
  /** What stands behind the bar, HTML. */
  readonly words: string;
}

/** Rows with a bar each, as a table that is read without them too. */
export function barTable(
  heads: readonly [label: string, words: string],
  rows: readonly BarRow[],
): string {
  const most = Math.max(1, ...rows.map(({ value }) => value));
  return rowsTable(
    heads,
    rows.map(({ label, value, words }) => ({
      label,
      words,
      drawing: value === 0 ? '' : rect('bar-measured', 0, (ROOM * value) / most, 2, 8),
    })),
  );
}

function rowsTable(
  [first, last]: readonly [string, string],
  rows: readonly { readonly label: string; readonly drawing: string; readonly words: string }[],
): string {
  const lines = rows.map(
    ({ label, drawing, words }) =>
      `<tr><th scope="row">${label}</th><td class="room"><svg viewBox="0 0 ${ROOM} 12" preserveAspectRatio="none" aria-hidden="true">${drawing}</svg></td><td>${words}</td></tr>`,
  );
  return `<table class="bars"><thead><tr><th scope="col">${text(first)}</th><td></td><th scope="col">${text(last)}</th></tr></thead><tbody>${lines.join('\n')}</tbody></table>`;
}

function rect(kind: string, from: number, width: number, top: number, height: number): string {
  const round = (value: number): number => Math.round(value * 10) / 10;
  return `<rect class="${kind}" x="${round(from)}" y="${top}" width="${round(Math.max(3, width))}" height="${height}"/>`;
}

/** How many have points in each tenth of what can be had, the highest first. */
export function spreadTable(points: readonly number[], outOf: number): string {
  const counts = Array.from({ length: BANDS }, () => 0);
  for (const value of points) {
    const band = Math.min(BANDS - 1, Math.max(0, Math.floor((BANDS * value) / outOf)));
    counts[band] = (counts[band] ?? 0) + 1;
  }
  const edge = (band: number): string => String(Math.round((10 * outOf * band) / BANDS) / 10);
  const rows = counts.map((value, band) => ({
    label: `${edge(band)} to ${band === BANDS - 1 ? edge(BANDS) : `under ${edge(band + 1)}`}`,
    value,
    words: String(value),
  }));
  return barTable(['Points', 'Submissions'], rows.reverse());
}

/** The points of each hand-in: all of them as a thin bar, the middle half as a thick one, the median as a line. */
export function progressTable(handIns: readonly (readonly number[])[], outOf: number): string {
  const x = (points: number): number => (ROOM * Math.min(outOf, Math.max(0, points))) / outOf;
  const rows = handIns.map((points, at) => {
    const label = `Hand-in ${at + 1}${at === handIns.length - 1 ? ', this one' : ''}`;
    if (points.length === 0) return { label, drawing: '', words: 'no points' };
    const [least, low, middle, high, most] = [0, 0.25, 0.5, 0.75, 1].map((share) =>
      quantile(points, share),
    );
    const drawing = [
      rect('bar-room', x(least ?? 0), x(most ?? 0) - x(least ?? 0), 5, 2),
      rect('bar-measured', x(low ?? 0), x(high ?? 0) - x(low ?? 0), 2, 8),
      rect('bar-limit', Math.min(ROOM - 4, x(middle ?? 0)), 4, 0, 12),
    ];
    return {
      label,
      drawing: drawing.join(''),
      words: `${(middle ?? 0).toFixed(1)} <span class="aside">of ${points.length}</span>`,
    };
  });
  return rowsTable(['Hand-in', 'Median'], rows);
}

/**
 * The value that a share of all others is below, between two of them in proportion. Source: Hyndman and
 * Fan, Sample Quantiles in Statistical Packages (1996), definition 7.
 */
export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (sorted.length - 1) * share;
  const low = sorted[Math.floor(at)] ?? 0;
  const high = sorted[Math.ceil(at)] ?? low;
  return low + (high - low) * (at - Math.floor(at));
}
