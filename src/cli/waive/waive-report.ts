import { resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { readHouseText } from '../../house/house-file.js';
import { LONGEST_REPORT, parseReport } from '../../report/read-report.js';
import type { Report } from '../../report/report-types.js';
import type { Io } from '../io.js';

/** Reads the report that a command names, `-` for standard input. Throws UsageError. */
export async function openReport(path: string, io: Io): Promise<Report> {
  const what = path === '-' ? 'the report on standard input' : `the report ${path}`;
  const text =
    path === '-'
      ? await readInput(io, what)
      : readHouseText(resolve(io.cwd, path), what, LONGEST_REPORT);
  return parseReport(text, what);
}

/** Refuses a report with a rule that this trysquare does not have. Throws UsageError. */
export function refuseStrange({ assets }: Report): void {
  const strange = assets
    .flatMap(({ findings }) => findings)
    .find((finding) => !rules.some(({ id }) => id === finding.rule));
  if (strange !== undefined)
    throw new UsageError(
      `the report has a finding of ${strange.rule}, a rule that this trysquare does not have; check again with this trysquare`,
    );
}

async function readInput(io: Io, what: string): Promise<string> {
  const parts: Buffer[] = [];
  let total = 0;
  for await (const part of io.stdin) {
    const bytes = Buffer.from(part);
    parts.push(bytes);
    total += bytes.byteLength;
    if (total > LONGEST_REPORT)
      throw new UsageError(`${what} is too long (limit ${LONGEST_REPORT} bytes)`);
  }
  return Buffer.concat(parts).toString('utf8');
}
