import { Ajv, type ValidateFunction } from 'ajv';
import { UsageError } from '../asset/errors.js';
import { isRecord, readHouseText } from '../house/house-file.js';
import { reportSchema } from './report-schema.js';
import type { Report } from './report-types.js';

/** Bytes of a report: a hundred thousand findings with their rigs take less. */
export const LONGEST_REPORT = 1 << 28;

const VERSION = 1;

/**
 * Reads a report from a file. Throws UsageError when it is none.
 *
 * @param shown The path as the user knows it.
 */
export function readReport(path: string, shown: string): Report {
  const what = `the report ${shown}`;
  return parseReport(readHouseText(path, what, LONGEST_REPORT), what);
}

/**
 * Reads a report that `writeJson` wrote. Throws UsageError for anything else.
 *
 * @param what What it is and the path as the user knows it: `the report rigs.json`.
 */
export function parseReport(text: string, what: string): Report {
  const wrong = (fault: string): UsageError =>
    new UsageError(`${what} ${fault}; write one with "trysquare check PATH --format json"`);
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch {
    throw wrong(text.trim() === '' ? 'is empty' : 'is not JSON');
  }
  if (!isRecord(value) || value.format !== 'trysquare-report')
    throw wrong('is not a report of trysquare');
  if (value.formatVersion !== VERSION)
    throw new UsageError(
      `${what} has format version ${String(value.formatVersion)}, but this trysquare reads version ${VERSION}; check the assets again with this trysquare`,
    );
  const validate = reportChecker();
  if (!validate(value)) {
    const { instancePath, params, message = 'is wrong' } = validate.errors?.[0] ?? {};
    const added = params?.additionalProperty;
    const fault = added === undefined ? message : `has "${String(added)}" in it`;
    throw wrong(
      `does not have the format that "trysquare schema report" prints: ${instancePath || 'at the top'} ${fault}`,
    );
  }
  const { part } = value;
  if (part !== null && (part.index < 1 || part.index > part.of))
    throw wrong(`says that it is part ${part.index} of ${part.of}, which is not possible`);
  return value;
}

let checker: ValidateFunction<Report> | null = null;

/** The schema, compiled once: parts to be joined are many, and compiling takes longer than reading one. */
function reportChecker(): ValidateFunction<Report> {
  checker ??= new Ajv({ strict: false }).compile<Report>(reportSchema);
  return checker;
}
