import { text } from '../markup.js';

/** Width of the room that a bar has; bars are stretched to the width of the page. */
const ROOM = 1000;
/** Bands that points are counted in at most. */
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
  labels: 'long' | 'short' = 'long',
): string {
  const most = Math.max(1, ...rows.map(({ value }) => value));
  return rowsTable(
    heads,
    rows.map(({ label, value, words }) => ({
      label,
      words,
      drawing: value === 0 ? '' : bar('bar-measured', 0, (ROOM * value) / most, 2, 8),
    })),
    labels,
  );
}

function rowsTable(
  [first, last]: readonly [string, string],
  rows: readonly { readonly label: string; readonly drawing: string; readonly words: string }[],
  labels: 'long' | 'short',
): string {
  const lines = rows.map(
    ({ label, drawing, words }) =>
      `<tr><th scope="row">${label}</th><td class="room"><svg viewBox="0 0 ${ROOM} 12" preserveAspectRatio="none" aria-hidden="true">${drawing}</svg></td><td>${words}</td></tr>`,
  );
  return `<table class="bars ${labels}"><thead><tr><th scope="col">${text(first)}</th><td></td><th scope="col">${text(last)}</th></tr></thead><tbody>${lines.join('\n')}</tbody></table>`;
}

/** From one place to another, and wide enough to be seen. */
function bar(kind: string, from: number, to: number, top: number, height: number): string {
  const round = (value: number): number => Math.round(value * 10) / 10;
  const width = Math.max(4, to - from);
  return `<rect class="${kind}" x="${round(from)}" y="${top}" width="${round(width)}" height="${height}"/>`;
}

/** How many have points in each band, the highest first; bands are as narrow as the class lets them be. */
export function spreadTable(points: readonly number[], outOf: number): string {
  const { least, most } = endsOf(points);
  const step = (outOf * stepFor((most - least) / outOf)) / 100;
  const bandOf = (value: number): number => Math.floor(Number((value / step).toPrecision(9)));
  const top = Math.max(bandOf(most), 0);
  const bands = Array.from({ length: top - bandOf(least) + 1 }, (_, at) => top - at);
  const edge = (band: number): string => String(Number((step * band).toFixed(2)));
  const rows = bands.map((band) => {
    const value = points.filter((each) => bandOf(each) === band).length;
    // All points are a band of their own: there is nothing above them.
    const isAll = step * band >= outOf;
    const label = isAll ? edge(band) : `${edge(band)} to under ${edge(band + 1)}`;
    return { label, value, words: String(value) };
  });
  return barTable(['Points', 'Submissions'], rows, 'short');
}

/** How wide a band may be, in percent of what can be had. */
const STEPS = [1, 2, 5, 10];

function stepFor(range: number): number {
  return STEPS.find((step) => (100 * range) / step < BANDS) ?? BANDS;
}

/** The points of each hand-in: all of them as a thin bar, the middle half as a thick one, the median as a line. */
export function progressTable(handIns: readonly (readonly number[])[], outOf: number): string {
  const least = endsOf(handIns.flat()).least;
  const start = Math.max(0, Math.floor((BANDS * least) / outOf) - 1) * (outOf / BANDS);
  const x = (points: number): number =>
    (ROOM * (Math.min(outOf, Math.max(start, points)) - start)) / (outOf - start);
  const rows = handIns.map((points, at) => {
    const label = `Hand-in ${at + 1}${at === handIns.length - 1 ? ' (now)' : ''}`;
    if (points.length === 0) return { label, drawing: '', words: 'no points' };
    const [low, middle, high] = [0.25, 0.5, 0.75].map((share) => quantile(points, share));
    const ends = endsOf(points);
    const drawing = [
      bar('bar-room', x(ends.least), x(ends.most), 5, 2),
      bar('bar-measured', x(low ?? 0), x(high ?? 0), 2, 8),
      bar('bar-limit', Math.min(ROOM - 4, x(middle ?? 0)), 0, 0, 12),
    ];
    return {
      label,
      drawing: drawing.join(''),
      words: `${(middle ?? 0).toFixed(1)} <span class="aside">of ${points.length}</span>`,
    };
  });
  const scale = `Scale: ${Number(start.toFixed(1))} to ${outOf}.`;
  const words =
    'Thin bar: all points. Thick bar: the middle half. Line: the median, with half of the class above it.';
  return `${rowsTable(['Hand-in', 'Median'], rows, 'short')}\n<p class="aside">${scale} ${words}</p>`;
}

function endsOf(points: readonly number[]) {
  return points.reduce(
    ({ least, most }, value) => ({ least: Math.min(least, value), most: Math.max(most, value) }),
    { least: Number.POSITIVE_INFINITY, most: Number.NEGATIVE_INFINITY },
  );
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
