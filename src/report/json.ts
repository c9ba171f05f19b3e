import { withoutMarks } from './log-marks.js';
import { assetSchema, REPORT_SCHEMA_ID, reportSchema } from './report-schema.js';
import { type ReportStream, writeWith } from './report-stream.js';
import type { Report, ReportHead } from './report-types.js';
import { roundedInJson } from './rounded.js';
import { type Order, orderOf } from './schema-order.js';

/**
 * Writes a report as JSON, in the format that `reportSchema` describes: keys in a fixed order,
 * numbers rounded to nine significant digits, whole numbers (indices, bytes) as they are, and null
 * for what is no finite number.
 */
export function writeJson(report: Report): string {
  return writeWith(jsonStream(report), report);
}

/** The same, asset by asset: what is only known at the end stands at the end. */
export function jsonStream(head: ReportHead): ReportStream {
  let first = true;
  return {
    head: () =>
      `${toText(headInOrder({ ...FORMAT, ...head })).slice(0, -CLOSED.length)},\n  "assets": [`,
    asset: (asset) => {
      const lead = first ? '\n    ' : ',\n    ';
      first = false;
      return `${lead}${toText(assetInOrder(asset)).replaceAll('\n', '\n    ')}`;
    },
    end: (end) => `${first ? '' : '\n  '}],${toText(endInOrder(end)).slice(1)}\n`,
  };
}

const FORMAT = { $schema: REPORT_SCHEMA_ID, format: 'trysquare-report', formatVersion: 1 };

// Keys come in the order of the schema, whatever order the report was made in.
const assetInOrder = orderOf(assetSchema);
const headInOrder = orderOfSome((at, assets) => at < assets);
const endInOrder = orderOfSome((at, assets) => at > assets);

/** Of the keys of a report that are told by where they stand, and where its assets do. */
function orderOfSome(is: (at: number, assets: number) => boolean): Order {
  const all = Object.entries(reportSchema.properties ?? {});
  const assets = all.findIndex(([key]) => key === 'assets');
  return orderOf({ properties: Object.fromEntries(all.filter((_, at) => is(at, assets))) });
}

/** How an object's text ends. */
const CLOSED = '\n}';

function toText(value: unknown): string {
  const text = JSON.stringify(value, roundedInJson, 2);
  // Controls that JSON allows raw, and marks that build services obey, are escaped for whoever prints the text; its values stay the same.
  return withoutMarks(
    text.replace(
      HIDDEN_IN_JSON,
      (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`,
    ),
  );
}

const HIDDEN_IN_JSON = /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/g;
