import { withoutMarks } from './log-marks.js';
import { assetSchema, REPORT_SCHEMA_ID, reportSchema } from './report-schema.js';
import { type ReportStream, writeWith } from './report-stream.js';
import type { Report, ReportHead } from './report-types.js';
import { roundedInJson } from './rounded.js';
import { isRecord, type Schema } from './schema-parts.js';
import { escaped } from './visible.js';

/**
 * Writes a report as JSON, in the format that `reportSchema` describes: keys in a fixed order,
 * numbers rounded to nine significant digits, whole numbers (indices, bytes) as they are, and null
 * for what is no finite number. With transforms, lists of numbers take one line each: a matrix on
 * sixteen lines is hard to read, and makes the report two thirds longer.
 */
export function writeJson(report: Report): string {
  return writeWith(jsonStream(report), report);
}

/** The same, asset by asset: what is only known at the end comes at the end. */
export function jsonStream(head: ReportHead): ReportStream {
  let first = true;
  const laidOut = head.transforms === true ? withListsOnLines : (text: string) => text;
  return {
    head: () =>
      `${toText(headInOrder({ ...FORMAT, ...head })).slice(0, -'\n}'.length)},\n  "assets": [`,
    asset: (asset) => {
      const lead = first ? '\n    ' : ',\n    ';
      first = false;
      return `${lead}${laidOut(toText(assetInOrder(asset))).replaceAll('\n', '\n    ')}`;
    },
    end: (end) => `${first ? '' : '\n  '}],${toText(endInOrder(end)).slice(1)}\n`,
  };
}

const FORMAT = { $schema: REPORT_SCHEMA_ID, format: 'trysquare-report', formatVersion: 1 };

/** JSON for programs: escapes raw controls, and marks that build services obey; the values stay the same. */
export function toText(value: unknown): string {
  return withoutMarks(JSON.stringify(value, roundedInJson, 2).replace(HIDDEN_IN_JSON, escaped));
}

/** No text in JSON holds a line feed, so what follows a bracket and one is a list. */
function withListsOnLines(text: string): string {
  return text.replace(/\[\n([^"[\]{}]+)\]/g, (_, list: string) => {
    return `[${list.trim().replace(/\s+/g, ' ')}]`;
  });
}

const HIDDEN_IN_JSON = /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/g;

/** Gives back a value of a schema with the schema's keys in the schema's order, and no others. */
type Order = (value: unknown) => unknown;

const asItIs: Order = (value) => value;

/** Takes a schema that is put together from `schema-parts.ts`; what does not fit it is left as it is. */
function orderOf({ properties, items, oneOf }: Schema): Order {
  if (oneOf !== undefined) return orderOfKind(oneOf);
  if (items !== undefined) {
    const order = orderOf(items);
    if (order === asItIs) return asItIs;
    return (value) => (Array.isArray(value) ? value.map(order) : value);
  }
  if (properties === undefined) return asItIs;
  const keys = Object.entries(properties).map(([key, schema]) => [key, orderOf(schema)] as const);
  return (value) => {
    if (!isRecord(value)) return value;
    const ordered: Record<string, unknown> = {};
    for (const [key, order] of keys) if (value[key] !== undefined) ordered[key] = order(value[key]);
    return ordered;
  };
}

/** Kinds are told apart by their constants; null is a kind of its own. */
function orderOfKind(schemas: readonly Schema[]): Order {
  const kinds = schemas.map((schema) => ({
    constants: Object.entries(schema.properties ?? {}).flatMap(([key, { const: constant }]) =>
      constant === undefined ? [] : [[key, constant] as const],
    ),
    order: orderOf(schema),
  }));
  return (value) => {
    if (!isRecord(value)) return value;
    const kind = kinds.find(({ constants }) => constants.every(([key, is]) => value[key] === is));
    return kind === undefined ? value : kind.order(value);
  };
}

// Keys come in the order of the schema, whatever order the report was made in.
const keys = Object.entries(reportSchema.properties ?? {});
const assetsAt = keys.findIndex(([key]) => key === 'assets');
const headInOrder = orderOf({ properties: Object.fromEntries(keys.slice(0, assetsAt)) });
const assetInOrder = orderOf(assetSchema);
const endInOrder = orderOf({ properties: Object.fromEntries(keys.slice(assetsAt + 1)) });
