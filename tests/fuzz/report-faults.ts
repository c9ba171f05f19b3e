import { Ajv } from 'ajv';
import { families, rules } from '../../rules/index.js';
import { writeCsv } from '../../src/report/csv.js';
import { writeJson } from '../../src/report/json.js';
import { writeJunit } from '../../src/report/junit.js';
import { writeMarkdown } from '../../src/report/markdown.js';
import { PLAIN } from '../../src/report/paint.js';
import { reportSchema } from '../../src/report/report-schema.js';
import { totalsOf } from '../../src/report/report-stream.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { writeSarif } from '../../src/report/sarif.js';
import { writeText } from '../../src/report/text.js';

const validate = new Ajv({ allowUnionTypes: true }).compile(reportSchema);

/** Words that only a mistake of ours puts into a sentence. */
const SLIPS = /\bNaN\b|\bundefined\b|\[object |\bInfinity\b/;

/** A reason may quote a number of the file that is none. */
const QUOTED = /\b(is|found) (NaN|-?Infinity)\b/g;

/** Controls that a terminal obeys; a report has line ends only. */
const CONTROLS = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/;

/** What a report says that it must not, whatever the asset. */
export function faultsOf(asset: AssetReport): string[] {
  const { verdict, unreadable, counts, findings, rigs, asked } = asset;
  const faults: string[] = [];
  if (unreadable?.reason.includes('fault of trysquare itself') === true)
    faults.push(unreadable.reason);
  const fine = rigs.length === 0 && asked === undefined ? 'nothing to judge' : 'sound';
  const meant = unreadable !== null ? 'unreadable' : counts.error > 0 ? 'unsound' : fine;
  if (verdict !== meant) faults.push(`it is called ${verdict}, but is ${meant}`);
  if (unreadable !== null && findings.length + rigs.length > 0)
    faults.push('it is unreadable and has findings');
  const said = findings.flatMap(({ message, remedy, consequences }) => [
    message,
    remedy,
    ...consequences,
  ]);
  const reasons = [unreadable?.reason, unreadable?.where].map(
    (text) => text?.replace(QUOTED, '') ?? '',
  );
  const slip = [...said, ...reasons].find((text) => SLIPS.test(text));
  if (slip !== undefined) faults.push(`it says: ${slip.slice(0, 300)}`);
  return faults;
}

/** A slip in what a command says. */
export function slipIn(kind: string, text: string): string[] {
  const line = text.split('\n').find((one) => SLIPS.test(one.replace(QUOTED, '')));
  return line === undefined ? [] : [`the ${kind} says: ${line.slice(0, 300)}`];
}

const TEXT_OPTIONS = { columns: 80, paint: PLAIN, quiet: false, eachRule: true };

/**
 * What goes wrong when the report is written, in every format, so that none stops a run at its end.
 *
 * @param text JSON of a `.gltf`, for reports that point into it.
 */
export function writerFaults(asset: AssetReport, text: string | null): string[] {
  const report: Report = {
    tool: { name: 'trysquare', version: '0.0.0' },
    failing: 'error',
    standard: null,
    unit: 'm',
    families,
    settings: '0',
    part: null,
    partial: null,
    ledger: null,
    assets: [asset],
    ...totalsOf([asset]),
  };
  // Describing every rule, asset after asset, would be most of the work.
  const found = new Set(asset.findings.map((finding) => finding.rule));
  const told = rules.filter((rule) => found.has(rule.id));
  const sarif = (target: 'standard' | 'code-scanning'): string =>
    writeSarif(report, told, { target, textOf: () => text, base: '/theatre' });
  const sound = (_: string): null => null;
  const writers: readonly (readonly [string, () => string | null])[] = [
    ['text', () => textFault(writeText(report, TEXT_OPTIONS), asset)],
    ['json', () => jsonFault(writeJson(report))],
    ['sarif', () => sound(JSON.parse(sarif('standard')))],
    ['sarif for code scanning', () => sound(JSON.parse(sarif('code-scanning')))],
    ['junit', () => sound(writeJunit(report))],
    ['csv', () => sound(writeCsv(report))],
    ['markdown', () => sound(writeMarkdown(report))],
  ];
  return writers.flatMap(([name, write]) => {
    try {
      const fault = write();
      return fault === null ? [] : [`${name}: ${fault}`];
    } catch (error) {
      return [`the ${name} writer throws ${error instanceof Error ? error.stack : String(error)}`];
    }
  });
}

function jsonFault(json: string): string | null {
  if (validate(JSON.parse(json))) return null;
  const [first] = validate.errors ?? [];
  return `the report does not fit its schema: ${first?.instancePath} ${first?.message}`;
}

function textFault(text: string, { unreadable }: AssetReport): string | null {
  const control = CONTROLS.exec(text);
  if (control !== null) return `the text holds U+${control[0].charCodeAt(0).toString(16)}`;
  const line = unreadable === null ? text.split('\n').find((one) => SLIPS.test(one)) : undefined;
  return line === undefined ? null : `the text says: ${line}`;
}
