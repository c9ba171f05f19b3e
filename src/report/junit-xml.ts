import XmlBuilder from 'fast-xml-builder';
import { counted, shortened } from './finding-words.js';
import type { JunitCase, JunitSuite } from './junit-cases.js';
import { logXml } from './log-marks.js';
import type { Report } from './report-types.js';
import { xmlLine } from './visible.js';

/** What is given up to keep a file small, one step after the other. */
export interface JunitStep {
  /** Letters of the text of one case. */
  readonly letters: number;
  /** Whether cases that passed or do not apply are written. */
  readonly every: boolean;
}

/** Letters of a `message`, which services show in lists; the whole text is the content. */
const MESSAGE_LETTERS = 500;

/** The document, or null when it would not stay under `mostBytes`. */
export function junitXml(
  suites: readonly JunitSuite[],
  report: Report,
  step: JunitStep,
  mostBytes: number,
): string | null {
  const elements = suites.map((suite) => suiteElement(suite, report, step));
  const total = (attribute: string): number =>
    elements.reduce((sum, element) => sum + Number(element[attribute]), 0);
  const times = suites.flatMap(({ time }) => time ?? []);
  const document: XmlElement = {
    '?xml': { '@_version': '1.0', '@_encoding': 'UTF-8' },
    testsuites: {
      '@_name': report.tool.name,
      '@_tests': total('@_tests'),
      '@_failures': total('@_failures'),
      '@_errors': total('@_errors'),
      ...timeOf(times.length === 0 ? null : times.reduce((sum, time) => sum + time)),
      testsuite: elements,
    },
  };
  // Escapes only add to the letters, so that a document far too long need not be put together.
  if (lettersIn(document) >= mostBytes) return null;
  const text = logXml(BUILDER.build(document));
  return Buffer.byteLength(text) < mostBytes ? text : null;
}

const BUILDER = new (classOf(XmlBuilder))({
  ignoreAttributes: false,
  format: true,
  suppressEmptyNode: true,
  // A rig called "true" would else give an attribute without a value.
  suppressBooleanAttributes: false,
});

/**
 * The command is one CommonJS file that loads this library as such, and then gets its exports in
 * place of its default one. To bundle the library would cost every run half a millisecond.
 */
function classOf<T extends abstract new (...given: never[]) => unknown>(
  imported: T | { readonly default: T },
): T {
  return typeof imported === 'function' ? imported : imported.default;
}

/** An element: attributes begin with `@_`, `#text` is its text, all else are its children. */
interface XmlElement {
  readonly [name: string]: string | number | XmlElement | readonly XmlElement[];
}

function suiteElement(
  { name, time, cases, own }: JunitSuite,
  report: Report,
  { letters, every }: JunitStep,
): XmlElement {
  const shown = cases.filter(({ error, failure, mild }) => every || (error ?? failure ?? mild));
  const standard = own?.path ?? report.standard;
  const above = own === undefined ? report.standardAbove : own.above;
  const failing = own?.failing ?? report.failing;
  const away = cases.length - shown.length;
  const number = (outcome: keyof JunitCase): number =>
    shown.filter((entry) => entry[outcome] !== undefined).length;
  return {
    '@_name': name,
    '@_tests': shown.length,
    '@_failures': number('failure'),
    '@_errors': number('error'),
    '@_skipped': number('skipped'),
    ...timeOf(time),
    properties: {
      property: [
        { '@_name': 'failing', '@_value': failing },
        ...(standard === null ? [] : [{ '@_name': 'standard', '@_value': xmlLine(standard) }]),
        ...(above ?? []).map((path) => ({
          '@_name': 'standard above',
          '@_value': xmlLine(path),
        })),
      ],
    },
    testcase: shown.map((entry) => caseElement(entry, letters)),
    ...(away > 0 && {
      'system-out': `${counted(away, 'case')} that passed or did not apply ${away === 1 ? 'is' : 'are'} left out, to keep this file small.`,
    }),
  };
}

function caseElement(
  { name, classname, time, error, failure, skipped, mild }: JunitCase,
  letters: number,
): XmlElement {
  // In the order of the schema's sequence.
  return {
    '@_name': name,
    '@_classname': classname,
    ...timeOf(time),
    ...(skipped !== undefined && { skipped: cut(skipped, letters) }),
    ...(error !== undefined && { error: fault('error', error, error, letters) }),
    ...(failure !== undefined && {
      failure: fault(failure.level, failure.message, failure.text, letters),
    }),
    ...(mild !== undefined && { 'system-out': cut(mild, letters) }),
  };
}

/** Milliseconds as the attribute, in seconds; none where they are not known. */
function timeOf(time: number | null): XmlElement {
  return time === null ? {} : { '@_time': (time / 1000).toFixed(6) };
}

function fault(type: string, message: string, text: string, letters: number): XmlElement {
  return {
    '@_message': shortened(message, Math.min(letters, MESSAGE_LETTERS)),
    '@_type': type,
    '#text': cut(text, letters),
  };
}

function cut(text: string, letters: number): string {
  if (text.length <= letters) return text;
  const away = text.length - letters;
  return `${shortened(text, letters)}\n(${away} letters left out to keep this file small)`;
}

function lettersIn(value: XmlElement[string]): number {
  if (typeof value === 'string') return value.length;
  if (typeof value === 'number') return 1;
  const parts: readonly XmlElement[string][] = Array.isArray(value) ? value : Object.values(value);
  return parts.reduce((sum: number, part) => sum + lettersIn(part), 0);
}
