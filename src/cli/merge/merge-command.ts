import { existsSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { joinReports } from '../../batch/join-reports.js';
import { disagreement } from '../../batch/judged-anew.js';
import { byPath } from '../../batch/path-order.js';
import { defaultSettings } from '../../check/settings.js';
import { readReport } from '../../report/read-report.js';
import type { AssetReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { exitCode, hasFailed } from '../exit-codes.js';
import type { Io } from '../io.js';
import type { OutputFlags } from '../output/format.js';
import { needsOf } from '../output/formats/index.js';
import { Outputs } from '../output/outputs.js';
import { chooseTargets } from '../output/targets.js';
import { tellOutputs } from '../output/tell-outputs.js';
import { tell } from '../output/write-output.js';
import { filesFitting, isPattern } from '../paths/find-assets.js';
import { knownRules, type OwnFlags } from '../run/own-rules.js';
import { unknownRule } from '../run/rule-names.js';

export type MergeFlags = OutputFlags & Pick<OwnFlags, 'with'>;

/** `trysquare merge`: joins reports in JSON to the one that a single run would have given. */
export async function runMerge(
  given: readonly string[],
  flags: MergeFlags,
  io: Io,
): Promise<number> {
  const targets = chooseTargets(flags, io);
  const needs = needsOf(targets, flags);
  if (needs.has('pictures'))
    throw new UsageError(
      'pages need the assets themselves, which reports do not contain; write them with "trysquare check --out FILE.html"',
    );
  const { rules, own } = await knownRules(flags, io);
  const files = await expandPatterns(given, io.cwd);
  for (const { path, shown } of targets)
    if (path !== null && files.some((file) => resolve(io.cwd, file) === path))
      throw new UsageError(`--out names ${visible(shown)}, which is one of the reports to join`);
  const named = files.map((name) => ({ name, report: readReport(resolve(io.cwd, name), name) }));
  for (const { name, report } of named) {
    // The words about a rule are in the rule, not in the report.
    const strange = unknownRule(report, rules);
    if (strange !== null)
      throw new UsageError(
        `${visible(name)} has a finding of ${visible(strange)}, a rule that this trysquare does not have; join it with trysquare ${visible(report.tool.version)}, which made it, or check again with this version. A rule of your own is known with --with FILE alone`,
      );
  }
  const report = joinReports(named);
  for (const { name, report: part } of named) {
    const line = disagreement(name, part);
    if (line !== null) await tell(io, line);
  }
  const texts = new Map<string, string>();
  const motion = report.families.includes('motion');
  const settings = { ...defaultSettings(rules), motion, ...(own && { own }) };
  // What the parts have, the whole has.
  const asked = { ...flags, ...(report.transforms && { transforms: true }) };
  const context = { flags: asked, settings, texts, names: [], io };
  const outputs = await Outputs.open(targets, report, context);
  try {
    // A report does not have the times that its assets took.
    for (const asset of report.assets)
      await outputs.asset(needs.has('content') ? await withFile(asset, texts, io) : asset);
    await outputs.end(report);
  } catch (error) {
    outputs.discard();
    throw error;
  }
  const paths = report.assets.map(({ path }) => path);
  await tellOutputs(targets, report, paths, flags, io);
  return exitCode(report.verdict, report.assets.some(hasFailed));
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
    const closed = found.find((entry) => entry.kind === 'nothing');
    if (closed !== undefined)
      throw new UsageError(`${visible(closed.shown)}: ${visible(closed.reason)}`);
    files.push(...found.map(({ shown }) => shown));
  }
  return files;
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
