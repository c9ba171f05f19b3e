import { significant } from '../kit/figures.js';
import { counted } from './finding-words.js';
import { logLines } from './log-marks.js';
import type { Paint } from './paint.js';
import { type ReportStream, writeWith } from './report-stream.js';
import type {
  AssetReport,
  ConventionsReport,
  Report,
  ReportEnd,
  ReportHead,
  RigReport,
} from './report-types.js';
import { append, findingLines } from './text-finding.js';
import { bendLines, measuredLines } from './text-measured.js';
import { label, makePen, type TextPen, verdictWord } from './text-pen.js';
import { treeLines } from './text-tree.js';
import { CauseTally, footer, levelCounts } from './text-verdict.js';
import { ledgerLines } from './text-waivers.js';
import { visible } from './visible.js';

export interface TextOptions {
  /** How many families of rules there are in all, to tell when some were left out. */
  readonly allFamilies?: number;
  readonly columns: number;
  readonly paint: Paint;
  /** Tell of every rule what it was measured on. */
  readonly eachRule?: boolean;
  /** List the waivers that need a look, rather than say how many there are. */
  readonly showWaivers?: boolean;
  /** Leave sound assets and headers out. */
  readonly quiet: boolean;
}

/**
 * The report for a person: the joint tree of each rig with every finding at its joint, sound
 * branches folded. Indentation alone shows the tree and words alone the level, so that it reads the
 * same without colour and aloud.
 */
export function writeText(report: Report, options: TextOptions): string {
  return writeWith(textStream(report, options), report);
}

/** The same, asset by asset. */
export function textStream(head: ReportHead, options: TextOptions): ReportStream {
  const pen = makePen(options);
  const causes = new CauseTally(head.failing);
  let first = true;
  const block = (text: string): string => {
    const lead = first ? '' : '\n';
    first = false;
    return logLines(`${lead}${text}\n`);
  };
  return {
    head: () => '',
    asset(asset) {
      causes.add(asset);
      return options.quiet && asset.verdict === 'sound'
        ? ''
        : block(assetLines(asset, head, pen, options).join('\n'));
    },
    end: (end) => {
      const blocks = [
        ...(end.partial === null ? [] : [partialLine(end.partial, pen)]),
        ...(end.totals.assets === 1 ? [] : [summaryLine(end, causes, pen)]),
        ...(end.ledger === null ? [] : ledgerLines(end.ledger, pen, options.showWaivers === true)),
      ];
      const held = termLines(head, options.allFamilies ?? head.families.length, pen);
      if (held !== '' && (!first || blocks.length > 0 || !options.quiet)) blocks.push(held);
      return blocks.map(block).join('');
    },
  };
}

function assetLines(
  asset: AssetReport,
  report: ReportHead,
  pen: TextPen,
  { quiet, eachRule }: TextOptions,
): string[] {
  const title = pen.paint.title(asset.path === '-' ? 'standard input' : visible(asset.path));
  if (asset.unreadable !== null) {
    const { reason, where } = asset.unreadable;
    const place = where === null ? '' : ` (at ${visible(where)})`;
    return [
      `${title}: ${verdictWord('unreadable', pen)}`,
      ...pen.wrap(`${visible(reason)}${place}.`, 2),
    ];
  }
  // A path is not broken over lines, so that it can be copied and searched for.
  const lines = [title];
  // What is waived is told as a number: a whole library may be waived to begin with.
  const standing = asset.findings.filter((finding) => finding.waived === undefined);
  for (const finding of standing) {
    if (finding.rig === null) append(lines, findingLines(finding, pen, 2));
  }
  for (const rig of asset.rigs) {
    if (!quiet) lines.push(...rigHeader(rig, report, pen));
    append(
      lines,
      treeLines(
        rig,
        standing.filter((finding) => finding.rig === rig.index),
        pen,
      ),
    );
    if (!quiet) append(lines, bendLines(rig, pen));
    if (eachRule === true) append(lines, measuredLines(rig, pen));
  }
  lines.push(...footer(asset, report, pen));
  return lines;
}

function rigHeader(rig: RigReport, report: ReportHead, pen: TextPen): string[] {
  const parts = [
    counted(rig.joints.length, 'joint'),
    counted(rig.skins, 'skin'),
    `${rig.vertices} vertices`,
    counted(rig.clips, 'clip'),
    `size ${significant(rig.size)} ${report.unit}`,
  ];
  const root = rig.bodyRoot === null ? null : rig.joints[rig.bodyRoot];
  const mapped = rig.bodyRootMapped ? ", by the asset's humanoid mapping" : '';
  return [
    ...pen.wrap(`Rig "${label(rig.name)}": ${parts.join(', ')}.`, 2, 4),
    ...pen.wrap(conventionWords(rig.conventions), 2, 4),
    ...pen.wrap(sideWords(rig.conventions), 2, 4),
    ...(root == null ? [] : pen.wrap(`Body root: ${label(root.name)}${mapped}.`, 2, 4)),
    '',
  ];
}

function conventionWords(found: ConventionsReport): string {
  const { aim } = found;
  if (found.frames === 'unknown' || aim === null)
    return 'Frames: no joint has a bone that it could aim along.';
  if (found.frames === 'world-aligned')
    return 'Frames: world-aligned; rules about aimed frames do not apply.';
  const sides =
    aim.left === aim.right ? '' : ` (${aim.left} on the left, ${aim.right} on the right)`;
  const source = found.source === 'standard' ? 'required by the standard' : 'found from the rig';
  const up =
    found.up === null
      ? ''
      : `; up ${found.up}${found.upKnown ? '' : ', a guess, because no bone is level'}`;
  const kind = found.frames === 'mixed' ? 'no common aim axis; most used' : 'aim';
  return `Frames: ${kind} ${aim.middle}${sides}, ${source}, followed by ${found.votes} of ${found.voters} joints${up}.`;
}

function sideWords(found: ConventionsReport): string {
  const { byMapping, byName, byPlace } = found.pairs;
  const pairs = byMapping + byName + byPlace;
  if (pairs === 0) return 'Sides: no pairs found.';
  const by = [
    ...(byMapping > 0 ? [`${byMapping} by mapping`] : []),
    ...(byName > 0 ? [`${byName} by name`] : []),
    ...(byPlace > 0 ? [`${byPlace} by place`] : []),
  ].join(', ');
  const scheme =
    found.mirrorPairs === 0
      ? 'none stand mirrored'
      : found.mirror === null
        ? 'no common mirror scheme'
        : `mirror scheme: ${found.mirror} (${found.mirrorAgree} of ${found.mirrorPairs})`;
  return `Sides: ${counted(pairs, 'pair')} (${by}); ${scheme}.`;
}

/** What the rigs were held to, where it is not the default. */
function termLines(head: ReportHead, all: number, pen: TextPen): string {
  const { standard, failing, families, rules } = head;
  const terms = [
    ...(standard === null ? [] : [`Checked against the standard ${visible(standard)}.`]),
    ...(failing === 'error'
      ? []
      : [
          failing === 'never'
            ? 'No finding makes a rig unsound.'
            : `Findings at level ${failing} or above make a rig unsound.`,
        ]),
    ...(rules === undefined && families.length === all ? [] : [runWords(families, rules)]),
  ];
  return terms.length === 0 ? '' : pen.wrap(terms.join(' '), 0).join('\n');
}

function runWords(families: readonly string[], rules: readonly string[] | undefined): string {
  return rules === undefined
    ? `Only these families of rules ran: ${families.join(', ')}.`
    : `Only these rules ran: ${rules.join(', ')}.`;
}

function partialLine({ checked, of }: NonNullable<ReportEnd['partial']>, pen: TextPen): string {
  return pen
    .wrap(`The run was stopped: ${checked} of ${counted(of, 'asset')} checked.`, 0)
    .join('\n');
}

function summaryLine({ totals, ledger }: ReportEnd, causes: CauseTally, pen: TextPen): string {
  const { assets, verdicts, counts } = totals;
  const waived =
    (ledger?.waived ?? 0) > 0 ? ` ${counted(ledger?.waived ?? 0, 'finding')} waived.` : '';
  const { sound, unsound, unreadable } = verdicts;
  const each = `${sound} sound, ${unsound} unsound, ${unreadable} unreadable`;
  return pen
    .wrap(
      `${counted(assets, 'asset')}: ${each}. ${levelCounts(counts)} in all.${waived}${causes.words()}`,
      0,
    )
    .join('\n');
}
