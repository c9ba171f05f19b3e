import {
  assetName,
  counted,
  failingWords,
  joined,
  levelCounts,
  stoppedWords,
  verdictCounts,
} from './finding-words.js';
import { MarkdownPage } from './markdown-page.js';
import { addFailed, addSound, addUnreadable, addUnsound, addWaivers } from './markdown-sections.js';
import { cellName, codeName } from './markdown-text.js';
import { totalsOf } from './report-stream.js';
import type { AssetReport, Report } from './report-types.js';
import { RuleTally } from './rule-tally.js';
import { restWords, standardWords } from './standard-words.js';
import { isAtFault } from './verdicts.js';

/**
 * Longest comment that hosted code review takes. Source: the answer of one service to a longer one,
 * "Body is too long (maximum is 65536 characters)", as quoted in the issues of
 * telia-oss/github-pr-resource, number 259. Code units are never fewer than characters.
 */
const MOST_LETTERS = 65_536;

/** Kept free for the line that says what was left out. */
const ENDING_LETTERS = 240;

/** Rows of assets that are not at fault that are shown at once; more of them are folded. */
const OPEN = 10;

/** Letters that each asset may fill, if there are that many: some ten findings. */
const LEAST_SHARE = 4000;

/** How many of each there was no room for; `reasons` are why an asset cannot be read. */
type LeftOut = Record<'rows' | 'waivers' | 'failed' | 'reasons' | 'findings', number>;

/**
 * A report as a comment on a change: the verdict, a table of the assets, waivers that need a look,
 * then what to fix in each asset, errors first. What does not fit is counted in the last line.
 *
 * @param options.mostLetters UTF-16 code units that the text does not pass.
 */
export function writeMarkdown(
  report: Report,
  { mostLetters = MOST_LETTERS }: { readonly mostLetters?: number } = {},
): string {
  const page = new MarkdownPage(mostLetters - ENDING_LETTERS);
  page.add(verdictLine(report));
  const left: LeftOut = {
    rows: addTable(report.assets, page) + addTally(report.assets, page),
    waivers: report.ledger === null ? 0 : addWaivers(report.ledger, page),
    failed: addFailed(report.assets, page),
    reasons: 0,
    findings: 0,
  };
  // Where nothing is at fault, the rest is for whoever asks.
  const mild = report.assets.filter((asset) => !isFaulty(asset) && asset.findings.length > 0);
  const shown = [...report.assets.filter(isFaulty), ...mild];
  for (const [at, asset] of shown.entries()) {
    // One asset of a thousand findings is not to push out all the others.
    const share = Math.max(page.room / (shown.length - at), LEAST_SHARE);
    const section = new MarkdownPage(Math.min(page.room, share));
    if (asset.unreadable !== null) left.reasons += addUnreadable(asset, section);
    else left.findings += isFaulty(asset) ? addUnsound(asset, section) : addSound(asset, section);
    page.addPage(section);
  }
  return `${page}${ending(left)}`;
}

function isFaulty({ verdict }: AssetReport): boolean {
  return isAtFault(verdict);
}

function verdictLine(report: Report): string {
  const { tool, totals, verdict, failing, standard, standardAbove, partial } = report;
  const waived = report.ledger?.waived ?? 0;
  const unknown = totals.assets === 0 ? 'nothing checked' : 'sound so far';
  return joined([
    `**${tool.name}: ${verdict ?? unknown}.**`,
    partial !== null && `**${stoppedWords(partial)}**`,
    verdictCounts(totals),
    `${levelCounts(totals.counts)}.`,
    waived > 0 && `${counted(waived, 'finding')} waived.`,
    failingWords(failing),
    standard !== null && `Checked against ${standardWords(standard, standardAbove, codeName)}.`,
    comparedWords(report),
  ]);
}

function comparedWords({ assets }: Report): string | false {
  const approved = [...new Set(assets.flatMap((asset) => asset.approved ?? []))];
  const [only] = approved;
  if (only === undefined) return false;
  return approved.length === 1
    ? `Compared with ${codeName(only)}.`
    : `Compared with ${approved.length} approved assets.`;
}

const TABLE_HEAD =
  '| Asset | Verdict | Errors | Warnings | Notes |\n| --- | --- | ---: | ---: | ---: |\n';

/** Assets at fault first; many others are folded. Returns how many assets have no row. */
function addTable(assets: readonly AssetReport[], page: MarkdownPage): number {
  const others = assets.filter((asset) => !isFaulty(asset));
  const fold = others.length > OPEN;
  // Half of the page at most, so that the findings have room.
  const rows = new MarkdownPage(page.room / 2);
  let listed = rows.addList(TABLE_HEAD, (fold ? assets.filter(isFaulty) : assets).map(tableRow));
  if (fold) listed += rows.addList('', others.map(tableRow), foldWords(others), TABLE_HEAD);
  page.addPage(rows);
  return assets.length - listed;
}

/** `14 sound assets, 2 with nothing to judge`. */
function foldWords(assets: readonly AssetReport[]): string {
  const { verdicts } = totalsOf(assets).totals;
  const sound = counted(verdicts.sound, 'sound asset');
  const bare = verdicts['nothing to judge'];
  return bare === 0 ? sound : `${sound}, ${bare} with nothing to judge`;
}

const TALLY_HEAD =
  '| Rule | Assets | Errors | Warnings | Notes |\n| --- | ---: | ---: | ---: | ---: |\n';

/** What each rule found where there are several assets, folded. Returns how many rules have no row. */
function addTally(assets: readonly AssetReport[], page: MarkdownPage): number {
  if (assets.length < 2) return 0;
  const tally = new RuleTally();
  for (const asset of assets) tally.add(asset);
  const rules = tally.rules();
  // A quarter of the room at most: the findings are to follow.
  const part = new MarkdownPage(page.room / 4);
  const rows = rules.map(
    ({ rule, assets, counts: { error, warning, note } }) =>
      `| ${codeName(rule)} | ${assets} | ${error} | ${warning} | ${note} |`,
  );
  const listed = part.addList('', rows, 'Findings by rule', TALLY_HEAD);
  page.addPage(part);
  return rules.length - listed;
}

function tableRow(asset: AssetReport): string {
  const { error, warning, note } = asset.counts;
  const counts = asset.verdict === 'unreadable' ? ' |  | ' : `${error} | ${warning} | ${note}`;
  const { standard } = asset;
  const against =
    standard === undefined
      ? ''
      : `, against ${cellName(standard.path)}${restWords(standard.above, cellName)}`;
  return `| ${cellName(assetName(asset))}${against} | ${asset.verdict} | ${counts} |`;
}

function ending({ rows, waivers, failed, reasons, findings }: LeftOut): string {
  const parts = joined(
    [
      rows > 0 && `${counted(rows, 'row')} of the table`,
      waivers > 0 &&
        `${counted(waivers, 'waiver')} that ${waivers === 1 ? 'needs' : 'need'} attention`,
      failed > 0 && `${counted(failed, 'rule')} that failed`,
      reasons > 0 && `why ${counted(reasons, 'asset')} cannot be read`,
      findings > 0 && counted(findings, 'finding'),
    ],
    '; ',
  );
  if (parts === '') return '';
  return `\nLeft out, to fit into a comment: ${parts}. The full report, as text or JSON, has all of it.\n`;
}
