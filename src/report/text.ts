import { significant } from '../kit/figures.js';
import { numbersOf } from './finding-numbers.js';
import {
  assetName,
  counted,
  failedWords,
  failingWords,
  joined,
  levelCounts,
  stoppedWords,
  unreadableWords,
  verdictCounts,
} from './finding-words.js';
import { logLines } from './log-marks.js';
import { askedWords, pairWords, playedWords } from './pair-words.js';
import { type ReportStream, writeWith } from './report-stream.js';
import type {
  AssetReport,
  Report,
  ReportEnd,
  ReportHead,
  RigReport,
  Totals,
} from './report-types.js';
import { RuleTally, tallyLines } from './rule-tally.js';
import { standardWords } from './standard-words.js';
import { termsOf } from './terms-of.js';
import { bendLines, measuredLines } from './text-measured.js';
import {
  append,
  findingLines,
  label,
  makePen,
  type PenOptions,
  type TextPen,
  verdictWord,
} from './text-pen.js';
import { treeLines } from './text-tree.js';
import { CauseTally, footer } from './text-verdict.js';
import { isAtFault } from './verdicts.js';
import { visible } from './visible.js';
import { ledgerLines } from './waiver-words.js';

export interface TextOptions extends PenOptions {
  /** How many families of rules there are in all, to say so when some were left out. */
  readonly allFamilies?: number;
  /** Say of every rule what it was measured on. */
  readonly eachRule?: boolean;
  /** List the waivers that need a look, rather than say how many there are. */
  readonly showWaivers?: boolean;
  /** Leave assets that are not at fault, and headers, out. */
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
  const { quiet, showWaivers, allFamilies = head.families.length } = options;
  const pen = makePen(options);
  const causes = new CauseTally(head.failing);
  // Silence would be taken for a pass.
  const isSilent = ({ verdicts }: Totals): boolean => quiet && verdicts['nothing to judge'] > 0;
  const tally = new RuleTally();
  let first = true;
  const block = (lines: readonly string[]): string => {
    const lead = first ? '' : '\n';
    first = false;
    return logLines(`${lead}${lines.join('\n')}\n`);
  };
  return {
    head: () => '',
    asset(asset) {
      causes.add(asset);
      tally.add(asset);
      const isLeftOut = quiet && !isAtFault(asset.verdict);
      return isLeftOut ? '' : block(assetLines(asset, head, pen, options));
    },
    end(end) {
      const { partial, totals, ledger } = end;
      const blocks = [
        ...(partial === null ? [] : [pen.wrap(stoppedWords(partial), 0)]),
        ...(totals.assets === 1 && !isSilent(totals) ? [] : [pen.wrap(summary(end, causes), 0)]),
        ...(totals.assets === 1 || quiet ? [] : tallyBlock(tally)),
        ...(ledger === null
          ? []
          : ledgerLines(ledger, pen, showWaivers === true).map((line) => [line])),
      ];
      const terms = termWords(head, allFamilies);
      if (terms !== '' && (!first || blocks.length > 0 || !quiet)) blocks.push(pen.wrap(terms, 0));
      return blocks.map(block).join('');
    },
  };
}

function assetLines(
  asset: AssetReport,
  head: ReportHead,
  pen: TextPen,
  { quiet, eachRule }: TextOptions,
): string[] {
  // A path is not broken over lines, so that it can be copied and searched for.
  const title = pen.paint.title(visible(assetName(asset)));
  if (asset.unreadable !== null) {
    const words = visible(unreadableWords(asset.unreadable));
    return [`${title}: ${verdictWord('unreadable', pen)}`, ...pen.wrap(words, 2)];
  }
  const lines = [title];
  const { standard, above, unit, failing } = termsOf(asset, head);
  if (asset.standard !== undefined && standard !== null) {
    const words = joined([
      `Checked against ${standardWords(standard, above, visible)}.`,
      failing !== head.failing &&
        (failingWords(failing) || 'Only findings at level error make a rig unsound.'),
    ]);
    append(lines, pen.wrap(words, 2));
  }
  const { approved } = asset;
  if (approved !== undefined)
    append(
      lines,
      pen.wrap(`Compared with ${visible(approved)}${askedWords(asset)}.${playedWords(asset)}`, 2),
    );
  // Waived findings are only counted: a whole library may be waived to begin with.
  const findings = asset.findings.filter((finding) => finding.waived === undefined);
  const numbers = numbersOf(asset.findings);
  const findingsOf = (rig: number | null) => findings.filter((finding) => finding.rig === rig);
  for (const finding of findingsOf(null)) append(lines, findingLines(finding, numbers, pen, 2));
  for (const rig of asset.rigs) {
    if (!quiet) append(lines, rigHeader(rig, unit, pen));
    append(lines, treeLines(rig, findingsOf(rig.index), numbers, pen));
    if (!quiet) append(lines, bendLines(rig, pen));
    if (eachRule === true) append(lines, measuredLines(rig, pen));
  }
  for (const failed of asset.failed ?? [])
    append(lines, pen.wrap(visible(failedWords(failed, asset)), 2, 4));
  append(lines, footer(asset, head, pen));
  return lines;
}

function rigHeader(rig: RigReport, unit: string, pen: TextPen): string[] {
  const { name, joints, skins, vertices, clips, size, conventions, bodyRoot } = rig;
  const parts = [
    counted(joints.length, 'joint'),
    counted(skins, 'skin'),
    `${vertices} vertices`,
    counted(clips, 'clip'),
    `size ${significant(size)} ${unit}`,
  ];
  const root = joints[bodyRoot ?? -1];
  const mapped = rig.bodyRootMapped ? ", by the asset's humanoid mapping" : '';
  return [
    ...[
      `Rig "${label(name)}": ${parts.join(', ')}.`,
      ...pairWords(rig, label),
      frameWords(conventions),
      sideWords(conventions),
      ...(root === undefined ? [] : [`Body root: ${label(root.name)}${mapped}.`]),
    ].flatMap((words) => pen.wrap(words, 2, 4)),
    '',
  ];
}

function frameWords(conventions: RigReport['conventions']): string {
  const { frames, source, aim, up, upKnown, votes, voters } = conventions;
  if (frames === 'unknown' || aim === null)
    return 'Frames: no joint has a bone that it could aim along.';
  if (frames === 'world-aligned')
    return 'Frames: world-aligned; rules about aimed frames do not apply.';
  const { middle, left, right } = aim;
  const sides = left === right ? '' : ` (${left} on the left, ${right} on the right)`;
  const origin = source === 'standard' ? 'required by the standard' : 'found from the rig';
  const guess = upKnown ? '' : ', a guess, because no bone is level';
  const upWords = up === null ? '' : `; up ${up}${guess}`;
  const kind = frames === 'mixed' ? 'no common aim axis; most used' : 'aim';
  return `Frames: ${kind} ${middle}${sides}, ${origin}, followed by ${votes} of ${voters} joints${upWords}.`;
}

function sideWords(conventions: RigReport['conventions']): string {
  const { pairs, mirror, mirrorAgree, mirrorPairs } = conventions;
  const { byMapping, byName, byPlace } = pairs;
  const all = byMapping + byName + byPlace;
  if (all === 0) return 'Sides: no pairs found.';
  const by = joined(
    [
      byMapping > 0 && `${byMapping} by mapping`,
      byName > 0 && `${byName} by name`,
      byPlace > 0 && `${byPlace} by place`,
    ],
    ', ',
  );
  let scheme = `mirror scheme: ${mirror} (${mirrorAgree} of ${mirrorPairs})`;
  if (mirror === null) scheme = 'no common mirror scheme';
  if (mirrorPairs === 0)
    scheme =
      byMapping + byName === 0
        ? 'no name tells their sides, so whether they mirror is not judged'
        : 'none stand mirrored';
  return `Sides: ${counted(all, 'pair')} (${by}); ${scheme}.`;
}

/** What the rigs were checked against, where it is not the default. */
function termWords(
  { standard, standardAbove, failing, families, rules }: ReportHead,
  all: number,
): string {
  const few =
    families.length > 0 &&
    families.length !== all &&
    `Only these families of rules ran: ${families.join(', ')}.`;
  return joined([
    standard !== null && `Checked against ${standardWords(standard, standardAbove, visible)}.`,
    failingWords(failing),
    rules === undefined ? few : `Only these rules ran: ${rules.join(', ')}.`,
  ]);
}

/** What each rule found in all assets; nothing where no rule found anything. */
function tallyBlock(tally: RuleTally): string[][] {
  const lines = tallyLines(tally.rules());
  return lines.length === 0
    ? []
    : [['Findings by rule:', ...lines.map((line) => `  ${visible(line)}`)]];
}

function summary({ totals, ledger }: ReportEnd, causes: CauseTally): string {
  const waived = ledger?.waived ?? 0;
  return joined([
    verdictCounts(totals),
    `${levelCounts(totals.counts)} in all.`,
    waived > 0 && `${counted(waived, 'finding')} waived.`,
    causes.words(),
  ]);
}
