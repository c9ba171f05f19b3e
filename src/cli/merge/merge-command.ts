import { existsSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { joinReports, type NamedReport } from '../../batch/join-reports.js';
import { disagreement } from '../../batch/judged-anew.js';
import { byPath } from '../../batch/path-order.js';
import { defaultSettings } from '../../check/settings.js';
import { readReport } from '../../report/read-report.js';
import type { AssetReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { exitCode } from '../exit-codes.js';
import type { Io } from '../io.js';
import type { OutputFlags } from '../output/format.js';
import { needsOf } from '../output/formats/index.js';
import { Outputs } from '../output/outputs.js';
import { chooseTargets } from '../output/targets.js';
import { tellLedger, tellWritten } from '../output/tell-outputs.js';
import { writeText } from '../output/write-output.js';
import { tellOutside } from '../paths/base-folder.js';
import { filesFitting, isPattern } from '../paths/find-assets.js';

/** `trysquare merge`: joins reports in JSON to the one that a single run would have given. */
export async function runMerge(
  given: readonly string[],
  flags: OutputFlags,
  io: Io,
): Promise<number> {
  const targets = chooseTargets(flags, io);
  const needs = needsOf(targets);
  if (needs.has('pictures'))
    throw new UsageError(
      'pages need the assets themselves, which reports do not contain; write them with "trysquare check --out FILE.html"',
    );
  const files = await expandPatterns(given, io.cwd);
  for (const { path, shown } of targets)
    if (path !== null && files.some((file) => resolve(io.cwd, file) === path))
      throw new UsageError(`--out names ${visible(shown)}, which is one of the reports to join`);
  const named = files.map((file): NamedReport => {
    return { name: file, report: readReport(resolve(io.cwd, file), file) };
  });
  refuseUnknownRules(named);
  const report = joinReports(named);
  for (const { name, report: part } of named) {
    const line = disagreement(name, part);
    if (line !== null) await writeText(io.stderr, `trysquare: ${line}\n`);
  }
  const texts = new Map<string, string>();
  const settings = { ...defaultSettings(rules), motion: report.families.includes('motion') };
  const outputs = await Outputs.open(targets, report, { flags, settings, texts, names: [], io });
  try {
    // No report tells how long its assets took.
    for (const asset of report.assets)
      await outputs.asset(
        needs.has('content') ? await withFile(asset, texts, io) : asset,
        null,
        null,
      );
    await outputs.end(report);
  } catch (error) {
    outputs.discard();
    throw error;
  }
  await tellLedger(targets, report.ledger, flags, io);
  const paths = report.assets.map(({ path }) => path);
  await tellOutside(paths, flags, io);
  if (flags.quiet !== true) await tellWritten(targets, report.totals, io);
  return exitCode(report.verdict);
}

/** Not every shell expands patterns, and none does where the command is started by a program. */
async function expandPatterns(given: readonly string[], cwd: string): Promise<string[]> {
  const files: string[] = [];
  for (const file of given) {
    if (!isPattern(file) || existsSync(resolve(cwd, file))) {
      files.push(file);
      continue;
    }
    const found = await filesFitting(file, cwd);
    if (found.length === 0) throw new UsageError(`no report fits the pattern ${visible(file)}`);
    found.sort((a, b) => byPath(a.shown, b.shown));
    for (const item of found) {
      if (item.kind === 'nothing')
        throw new UsageError(`${visible(item.shown)}: ${visible(item.reason)}`);
      files.push(item.shown);
    }
  }
  return files;
}

/** What a report tells of a rule is in the rule, not in the report. Throws UsageError. */
function refuseUnknownRules(named: readonly NamedReport[]): void {
  const known = new Set(rules.map(({ id }) => id));
  for (const { name, report } of named)
    for (const { findings } of report.assets) {
      const strange = findings.find(({ rule }) => !known.has(rule));
      if (strange !== undefined)
        throw new UsageError(
          `${visible(name)} has a finding of ${visible(strange.rule)}, a rule that this trysquare does not have; join it with trysquare ${visible(report.tool.version)}, which made it, or check again with this version`,
        );
    }
}

/** SARIF points into the files: what a report in JSON does not hold is taken from them, where they are. */
async function withFile(
  asset: AssetReport,
  texts: Map<string, string>,
  io: Io,
): Promise<AssetReport> {
  const { container } = asset;
  if (container === null || asset.path === '-') return asset;
  const path = resolve(io.cwd, asset.path);
  try {
    if (statSync(path).size !== container.bytes) return asset;
  } catch {
    return asset;
  }
  const { hashFile } = await import('../../asset/hash-file.js');
  const { jsonText } = await import('../../batch/content-key.js');
  const text = await jsonText(path);
  if (text !== null) texts.set(asset.path, text);
  return { ...asset, container: { ...container, sha256: hashFile(path) } };
}
