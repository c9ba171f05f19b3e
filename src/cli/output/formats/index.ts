import type { Format, Need, OutputFlags, Target } from '../format.js';
import { csv } from './csv.js';
import { html } from './html.js';
import { json } from './json.js';
import { junit } from './junit.js';
import { markdown } from './markdown.js';
import { sarif } from './sarif.js';
import { text } from './text.js';

/** Every format of a report, in the order of help. */
export const FORMATS: readonly Format[] = [text, json, sarif, junit, csv, markdown, html];

/** The format of a report when nobody says. */
export const DEFAULT_FORMAT = text;

/** Formats by the ending of a file's name. */
export const ENDINGS: ReadonlyMap<string, Format> = new Map(
  FORMATS.flatMap((format) => format.endings.map((ending) => [ending, format] as const)),
);

/** The format of a name. Throws for a name that the parser would have refused. */
export function formatNamed(name: string): Format {
  const format = FORMATS.find((other) => other.name === name);
  if (format === undefined) throw new Error(`no form of a report is called ${name}`);
  return format;
}

/** All that the formats of some reports need, with the options that were given. */
export function needsOf(targets: readonly Target[], flags: OutputFlags): ReadonlySet<Need> {
  const formats = targets.map(({ format }) => format);
  const asked = formats.flatMap(({ options = [] }) =>
    options.flatMap(({ key, asksFor }) => (flags[key] === true ? (asksFor ?? []) : [])),
  );
  return new Set([...formats.flatMap(({ needs = [] }) => needs), ...asked]);
}

/** Whether a person reads one of the reports as it comes. */
export function isRead(targets: readonly Target[]): boolean {
  return targets.some(({ format, path }) => format.isRead === true && path === null);
}
