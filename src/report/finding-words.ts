import { isFailing, LEVELS, type Level } from '../kit/finding.js';
import type {
  AssetReport,
  FailedRuleReport,
  FindingReport,
  MeasuredReport,
  Report,
} from './report-types.js';

/** Whether a finding makes its asset unsound: at the failing level or above, and not waived. */
export function makesUnsound(finding: FindingReport, failing: Report['failing']): boolean {
  return finding.waived === undefined && isFailing(finding.level, failing);
}

/** The parts of a text that are not left out, put together. */
export function joined(parts: readonly (string | false)[], separator = ' '): string {
  return parts.filter((part) => part !== false && part !== '').join(separator);
}

/** Measure, remedy, consequences and what no waiver accepted. Names in it are raw. */
export function findingWords(finding: FindingReport): string {
  const { message, remedy, consequences, beyond = [] } = finding;
  return joined([message, remedy, ...consequences, ...beyond]);
}

/** `Waived by props until 2027-01-31: a crank sits here.` */
export function waiverWords({ by, why, until }: NonNullable<FindingReport['waived']>): string {
  const end = until === null ? 'without a last day' : `until ${until}`;
  return `Waived by ${by} ${end}: ${why}`;
}

/** Why an asset could not be read, and where in it. */
export function unreadableWords({ reason, where }: NonNullable<AssetReport['unreadable']>): string {
  return `${reason}${where === null ? '' : ` (at ${where})`}.`;
}

/** `The rule prop.wheel of house/props.mjs failed on rig "mule": it has no wheel.` Names in it are raw. */
export function failedWords(
  { rule, rig, module, reason }: FailedRuleReport,
  { rigs }: AssetReport,
): string {
  const from = module === null ? '' : ` of ${module}`;
  const on = rigs.length < 2 ? undefined : rigs.find(({ index }) => index === rig)?.name;
  return `The rule ${rule}${from} failed${on === undefined ? '' : ` on rig "${on}"`}: ${reason.replace(/\.$/, '')}. It judged nothing; all other rules did.`;
}

/** `The run was stopped: 9 of 400 assets checked.` */
export function stoppedWords({ checked, of }: NonNullable<Report['partial']>): string {
  return `The run was stopped: ${checked} of ${counted(of, 'asset')} checked.`;
}

/** Which findings make a rig unsound; empty for the default. */
export function failingWords(failing: Report['failing']): string {
  if (failing === 'error') return '';
  return failing === 'never'
    ? 'No finding makes a rig unsound.'
    : `Findings at level ${failing} or above make a rig unsound.`;
}

/** How an asset is called; `-` is the path of standard input. */
export function assetName({ path }: AssetReport): string {
  return path === '-' ? 'standard input' : path;
}

/** `1 error`, `2 errors`. */
export function counted(value: number, noun: string): string {
  return value === 1 ? `1 ${noun}` : `${value} ${noun}s`;
}

/** `3 assets: 1 sound, 2 unsound, 0 unreadable.`, and how many more have nothing to judge, if any. */
export function verdictCounts({ assets, verdicts }: Report['totals']): string {
  const { sound, unsound, unreadable, 'nothing to judge': bare } = verdicts;
  const others = bare > 0 ? `, ${bare} with nothing to judge` : '';
  return `${counted(assets, 'asset')}: ${sound} sound, ${unsound} unsound, ${unreadable} unreadable${others}.`;
}

/** `an error`, `a warning`. */
export function levelNoun(level: Level): string {
  return level === 'error' ? `an ${level}` : `a ${level}`;
}

/** `2 errors, 0 warnings, 1 note`. */
export function levelCounts(counts: Readonly<Record<Level, number>>): string {
  return LEVELS.map((level) => counted(counts[level], level)).join(', ');
}

/** `2 errors`, `1 note`: the levels that some of these findings have. */
export function countedLevels(findings: readonly FindingReport[]): string[] {
  return LEVELS.flatMap((level) => {
    const count = findings.filter((finding) => finding.level === level).length;
    return count === 0 ? [] : [counted(count, level)];
  });
}

type JudgedReport = Extract<MeasuredReport, { readonly kind: 'judged' }>;

/** Whether a rule looked at nothing: it passed on nothing then. */
export function isIdle({ looked, short, elsewhere }: JudgedReport): boolean {
  return looked === 0 && short === 0 && elsewhere === 0;
}

/** `20 of 20 joints`, `6 of 7 pairs; 1 reported by another rule`: what passed a rule. */
export function passedWords(entry: JudgedReport): string {
  const { looked, short, elsewhere, of: things } = entry;
  if (isIdle(entry)) return 'nothing to judge';
  // A finding with nothing looked at is one thing that fell short.
  const passed = Math.max(0, looked - short - elsewhere);
  const others = elsewhere === 0 ? '' : `; ${elsewhere} reported by another rule`;
  return `${passed} of ${looked} ${looked === 1 ? singular(things) : things}${others}`;
}

/** The unit behind a value, in the singular where it counts one thing: `1 joint`, `5 joints`. */
export function unitAfter(value: number | string, unit: string): string {
  // Units that count things are words; the others have no plural.
  const isCount = unit !== 'times' && /^[a-z]+$/.test(unit);
  return Number(value) === 1 && isCount ? singular(unit) : unit;
}

/** Of the plurals in `Things`. */
export function singular(things: string): string {
  if (things === 'vertices') return 'vertex';
  return things === 'matrices' ? 'matrix' : things.replace(/s$/, '');
}

/**
 * At most about `letters` letters of `text`. The middle goes, since a message begins with the
 * measure and ends with the remedy, and a name of thousands of letters is in between.
 */
export function shortened(text: string, letters: number): string {
  if (text.length <= letters) return text;
  const head = Math.ceil((letters * 3) / 4);
  // Half of a pair at a cut would show as an escape.
  const start = text.slice(0, head).replace(/[\ud800-\udbff]$/, '');
  const end = text.slice(text.length - (letters - head)).replace(/^[\udc00-\udfff]/, '');
  return `${start} … ${end}`;
}
