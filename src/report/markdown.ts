import type { Level } from '../kit/finding.js';
import { assetName, counted, stoppedWords } from './finding-words.js';
import { folded, MarkdownPage } from './markdown-page.js';
import { addSound, addUnreadable, addUnsound } from './markdown-sections.js';
import { cellName, codeName } from './markdown-text.js';
import { addWaivers } from './markdown-waivers.js';
import type { AssetReport, Report, Verdict } from './report-types.js';

export interface MarkdownOptions {
  /** UTF-16 code units that the text does not pass. */
  readonly mostLetters?: number;
}

/**
 * Longest comment that hosted code review takes. Source: the answer of one service to a longer one,
 * "Body is too long (maximum is 65536 characters)", as quoted in the issues of
 * telia-oss/github-pr-resource, number 259. Code units are never fewer than characters.
 */
const MOST_LETTERS = 65_536;

/** Kept free for the line that says what was left out. */
const ENDING_LETTERS = 240;

/** Rows of sound assets that stand open; more of them are folded. */
const OPEN = 10;

/**
 * A report as a comment on a change: the verdict, a table of the assets, waivers that need a look,
 * then what to fix in each asset, errors first. What does not fit is counted in the last line.
 */
export function writeMarkdown(
  report: Report,
  { mostLetters = MOST_LETTERS }: MarkdownOptions = {},
): string {
  const page = new MarkdownPage(mostLetters - ENDING_LETTERS);
  page.add(verdictLine(report));
  const left: LeftOut = {
    rows: addTable(report.assets, page),
    waivers: report.ledger === null ? 0 : addWaivers(report.ledger, page),
    reasons: 0,
    findings: 0,
  };
  // Where nothing is at fault, the rest is for whoever asks.
  const told = [
    ...report.assets.filter(({ verdict }) => verdict !== 'sound'),
    ...report.assets.filter(({ verdict, findings }) => verdict === 'sound' && findings.length > 0),
  ];
  for (const [at, asset] of told.entries()) {
    // One asset of a thousand findings is not to push out all the others.
    const share = Math.max(page.room / (told.length - at), LEAST_SHARE);
    const section = new MarkdownPage(Math.min(page.room, share));
    if (asset.verdict === 'unreadable') left.reasons += addUnreadable(asset, section);
    else if (asset.verdict === 'unsound') left.findings += addUnsound(asset, section);
    else left.findings += addSound(asset, section);
    page.addPage(section);
  }
  return `${page}${ending(left)}`;
}

/** What there was no room for. */
interface LeftOut {
  readonly rows: number;
  readonly waivers: number;
  reasons: number;
  findings: number;
}

/** Letters that each asset may fill, if there are that many: some ten findings. */
const LEAST_SHARE = 4000;

function verdictLine(report: Report): string {
  const { assets, verdict, failing, standard, partial } = report;
  const waived = report.ledger?.waived ?? 0;
  const of = (wanted: Verdict): number => assets.filter((asset) => asset.verdict === wanted).length;
  const sum = (level: Level): number =>
    assets.reduce((total, { counts }) => total + counts[level], 0);
  const parts = [
    `**${report.tool.name}: ${verdict ?? (assets.length === 0 ? 'nothing checked' : 'sound so far')}.**`,
    ...(partial === null ? [] : [`**${stoppedWords(partial)}**`]),
    `${counted(assets.length, 'asset')}: ${of('sound')} sound, ${of('unsound')} unsound, ${of('unreadable')} unreadable.`,
    `${counted(sum('error'), 'error')}, ${counted(sum('warning'), 'warning')}, ${counted(sum('note'), 'note')}.`,
    ...(waived === 0 ? [] : [`${counted(waived, 'finding')} waived.`]),
  ];
  if (failing !== 'error')
    parts.push(
      failing === 'never'
        ? 'No finding makes a rig unsound.'
        : `Findings at level ${failing} or above make a rig unsound.`,
    );
  if (standard !== null) parts.push(`Checked against the standard ${codeName(standard)}.`);
  return parts.join(' ');
}

const TABLE_HEAD =
  '| Asset | Verdict | Errors | Warnings | Notes |\n| --- | --- | ---: | ---: | ---: |\n';

/** Assets at fault first; many sound ones are folded. Returns how many assets have no row. */
function addTable(assets: readonly AssetReport[], page: MarkdownPage): number {
  const sound = assets.filter((asset) => asset.verdict === 'sound');
  const fold = sound.length > OPEN;
  const open = fold ? assets.filter((asset) => asset.verdict !== 'sound') : assets;
  // Half of the page at most, so that the findings have room.
  const rows = new MarkdownPage(page.room / 2);
  let listed = rows.addList(TABLE_HEAD, open.map(tableRow), '');
  if (fold) {
    const { opening, closing } = folded(`${sound.length} sound assets`);
    listed += rows.addList(`${opening}${TABLE_HEAD}`, sound.map(tableRow), closing);
  }
  page.addPage(rows);
  return assets.length - listed;
}

function tableRow(asset: AssetReport): string {
  const { error, warning, note } = asset.counts;
  const counts = asset.verdict === 'unreadable' ? ' |  | ' : `${error} | ${warning} | ${note}`;
  return `| ${cellName(assetName(asset))} | ${asset.verdict} | ${counts} |`;
}

function ending({ rows, waivers, reasons, findings }: LeftOut): string {
  const parts = [
    ...(rows > 0 ? [`${counted(rows, 'row')} of the table`] : []),
    ...(waivers > 0
      ? [`${counted(waivers, 'waiver')} that ${waivers === 1 ? 'needs' : 'need'} attention`]
      : []),
    ...(reasons > 0 ? [`why ${counted(reasons, 'asset')} cannot be read`] : []),
    ...(findings > 0 ? [counted(findings, 'finding')] : []),
  ];
  if (parts.length === 0) return '';
  return `\nLeft out, to fit into a comment: ${parts.join('; ')}. The full report, as text or JSON, has all of it.\n`;
}
