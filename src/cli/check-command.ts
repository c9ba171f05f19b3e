import { realpathSync } from 'node:fs';
import { relative, resolve } from 'node:path';
import { families, rules } from '../../rules/index.js';
import { UsageError } from '../asset/errors.js';
import { ASSET_LIMITS } from '../asset/limits.js';
import { checkAsset, checkAssetBytes, unreadableReport } from '../check/check-asset.js';
import { defaultSettings, rulesToRun, type Settings } from '../check/settings.js';
import type { Level } from '../kit/finding.js';
import { PLAIN } from '../report/paint.js';
import type { AssetReport, Report, Verdict } from '../report/report-types.js';
import { writeText as writeTextReport } from '../report/text.js';
import { visible } from '../report/visible.js';
import { findStandard } from '../standard/find-standard.js';
import { version } from '../version.js';
import { EXIT } from './exit-codes.js';
import { type FoundAsset, findAssets } from './find-assets.js';
import type { Io } from './io.js';
import { refuseExisting, writeText, writeWhole } from './write-output.js';

export interface CheckFlags {
  readonly standard?: string | boolean;
  readonly format?: Format;
  readonly sarifFor?: 'standard' | 'code-scanning';
  readonly out?: string;
  readonly replace?: boolean;
  readonly failing?: Level | 'never';
  readonly only?: readonly string[];
  readonly skip?: readonly string[];
  readonly motion?: boolean;
  readonly eachRule?: boolean;
  readonly quiet?: boolean;
  readonly colour: 'never' | 'auto' | 'always';
}

/** `trysquare check`: checks what the paths name and writes one report. Returns the exit code. */
export async function runCheck(
  paths: readonly string[],
  flags: CheckFlags,
  io: Io,
): Promise<number> {
  const format = chooseFormat(flags);
  const { settings, standard } = await chooseSettings(flags, io);
  if (/[\\/]$/.test(flags.out ?? ''))
    throw new UsageError(`--out names a folder, ${visible(flags.out ?? '')}; name a file in it`);
  const target = flags.out === undefined ? null : resolve(io.cwd, flags.out);
  if (target !== null) refuseExisting(target, flags.out ?? '', flags.replace === true);
  const found = await findAssets(paths, io.cwd);
  if (
    target !== null &&
    found.some((item) => item.kind === 'file' && sameFile(item.path, target))
  ) {
    throw new UsageError(`--out names ${flags.out}, which is one of the assets to check`);
  }
  const texts = new Map<string, string>();
  const assets = await checkAll(found, settings, flags, format, texts, io);
  const report: Report = {
    tool: { name: 'trysquare', version },
    failing: settings.failing,
    standard,
    unit: settings.unit,
    families: familiesRun(settings),
    assets,
    verdict: worst(assets),
  };
  const output = await render(report, format, settings, flags, texts, io);
  const named = format === 'text' && target === null;
  if (!named) await tellUnreadable(assets, io);
  if (target === null) await writeText(io.stdout, output);
  else {
    writeWhole(target, flags.out ?? '', output);
    if (flags.quiet !== true)
      await writeText(
        io.stderr,
        `trysquare: ${tally(assets)}; the report is in ${visible(flags.out ?? '')}\n`,
      );
  }
  return exitCode(report.verdict);
}

async function chooseSettings(
  flags: CheckFlags,
  io: Io,
): Promise<{ settings: Settings; standard: string | null }> {
  let base = defaultSettings(rules);
  let standard: string | null = null;
  if (flags.standard !== false) {
    const given =
      typeof flags.standard === 'string' ? resolve(io.cwd, flags.standard) : findStandard(io.cwd);
    if (given !== null) {
      const { readStandard } = await import('../standard/read-standard.js');
      standard = typeof flags.standard === 'string' ? flags.standard : relative(io.cwd, given);
      base = readStandard(given, standard, rules);
    }
  }
  const chosen = await chooseRules(flags);
  const named = chosen.some((rule) => rule.onRequest && flags.only?.includes(rule.family));
  const settings = {
    ...base,
    rules: chosen,
    motion: base.motion || named || flags.motion === true,
    failing: flags.failing ?? base.failing,
  };
  return { settings, standard };
}

function familiesRun(settings: Settings): string[] {
  return [...new Set(rulesToRun(settings).map((rule) => rule.family))];
}

async function chooseRules({ only, skip }: CheckFlags): Promise<typeof rules> {
  for (const [option, named] of [
    ['--only', only],
    ['--skip', skip],
  ] as const) {
    for (const family of named ?? []) {
      if (families.includes(family)) continue;
      const { didYouMean } = await import('../standard/nearest.js');
      throw new UsageError(
        `${option} names no family of rules: "${visible(family)}".${didYouMean(family, families)} Known: ${families.join(', ')}.`,
      );
    }
  }
  const chosen = rules.filter(
    (rule) => (only?.includes(rule.family) ?? true) && !(skip?.includes(rule.family) ?? false),
  );
  if (chosen.length === 0) throw new UsageError('--only and --skip together leave no rule to run');
  return chosen;
}

async function checkAll(
  found: readonly FoundAsset[],
  settings: Settings,
  flags: CheckFlags,
  format: Format,
  texts: Map<string, string>,
  io: Io,
): Promise<AssetReport[]> {
  const assets: AssetReport[] = [];
  const progress = io.progress && found.length > 1 && flags.quiet !== true;
  for (const [at, item] of found.entries()) {
    if (progress)
      io.stderr.write(
        `\r\u001b[KChecking ${at + 1} of ${found.length}: ${visible(item.shown).slice(-50)}`,
      );
    const options = {
      settings,
      name: item.shown,
      hash: format === 'sarif',
      onText: (text: string) => void (format === 'sarif' && texts.set(item.shown, text)),
    };
    if (item.kind === 'file') assets.push(await checkAsset(item.path, options));
    else if (item.kind === 'stdin') assets.push(await checkAssetBytes(await readAll(io), options));
    else assets.push(unreadableReport(item.shown, item.reason, null));
  }
  if (progress) io.stderr.write('\r\u001b[K');
  return assets;
}

/** Whether two paths lead to one file, whichever links they take. */
function sameFile(a: string, b: string): boolean {
  if (a === b) return true;
  try {
    return realpathSync(a) === realpathSync(b);
  } catch {
    return false;
  }
}

/** The first bytes of a GLB, or of JSON after white space or a byte order mark. */
function looksLikeAsset(bytes: Uint8Array): boolean {
  return /^(glTF|\uFEFF?\s*[{[]|\s*$)/.test(Buffer.from(bytes.subarray(0, 64)).toString('utf8'));
}

async function readAll(io: Io): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let total = 0;
  for await (const part of io.stdin) {
    const bytes = typeof part === 'string' ? Buffer.from(part) : part;
    parts.push(bytes);
    total += bytes.byteLength;
    // What cannot be an asset, or is too long for one, need not be taken in to the end.
    if (total === bytes.byteLength && !looksLikeAsset(bytes)) break;
    if (total > ASSET_LIMITS.readBytes) break;
  }
  return Buffer.concat(parts);
}

async function render(
  report: Report,
  format: Format,
  settings: Settings,
  flags: CheckFlags,
  texts: ReadonlyMap<string, string>,
  io: Io,
): Promise<string> {
  switch (format) {
    case 'json': {
      const { writeJson } = await import('../report/json.js');
      return writeJson(report);
    }
    case 'sarif': {
      const { writeSarif } = await import('../report/sarif.js');
      const textOf = (path: string): string | null => texts.get(path) ?? null;
      return writeSarif(report, rules, {
        target: flags.sarifFor ?? 'standard',
        textOf,
        base: io.cwd,
      });
    }
    case 'text': {
      const colour =
        flags.colour === 'always' ||
        (flags.colour === 'auto' && io.colour && flags.out === undefined);
      const columns =
        flags.out === undefined && io.columns !== null ? Math.min(io.columns, 100) : 80;
      const paint = colour ? (await import('../report/colours.js')).COLOURS : PLAIN;
      return writeTextReport(report, {
        columns,
        paint,
        quiet: flags.quiet === true,
        eachRule: flags.eachRule === true,
        allFamilies: familiesRun({ ...settings, rules }).length,
      });
    }
  }
}

type Format = 'text' | 'json' | 'sarif';

/** The format asked for, else the one that the ending of --out names, else text. */
function chooseFormat({ format, out, replace, sarifFor }: CheckFlags): Format {
  const ending = /\.(json|sarif)$/i.exec(out ?? '')?.[1]?.toLowerCase();
  const chosen = format ?? (ending === 'json' || ending === 'sarif' ? ending : 'text');
  if (sarifFor !== undefined && chosen !== 'sarif') {
    throw new UsageError('--sarif-for shapes SARIF only; add --format sarif');
  }
  if (replace === true && out === undefined) throw new UsageError('--replace goes with --out FILE');
  return chosen;
}

/** `3 sound, 1 unreadable`. */
function tally(assets: readonly AssetReport[]): string {
  const counts = (['sound', 'unsound', 'unreadable'] as const).map((verdict) => ({
    verdict,
    count: assets.filter((asset) => asset.verdict === verdict).length,
  }));
  return counts
    .filter(({ count }) => count > 0)
    .map(({ verdict, count }) => `${count} ${verdict}`)
    .join(', ');
}

/** One line an asset on standard error, for reports that a person does not read as they come. */
async function tellUnreadable(assets: readonly AssetReport[], io: Io): Promise<void> {
  for (const { path, unreadable } of assets) {
    if (unreadable === null) continue;
    const where = unreadable.where === null ? '' : ` (at ${unreadable.where})`;
    await writeText(
      io.stderr,
      `trysquare: ${visible(`${path} cannot be read: ${unreadable.reason}${where}`)}\n`,
    );
  }
}

function worst(assets: readonly AssetReport[]): Verdict {
  if (assets.some((asset) => asset.verdict === 'unreadable')) return 'unreadable';
  return assets.some((asset) => asset.verdict === 'unsound') ? 'unsound' : 'sound';
}

function exitCode(verdict: Verdict): number {
  return verdict === 'unreadable'
    ? EXIT.unreadable
    : verdict === 'unsound'
      ? EXIT.unsound
      : EXIT.sound;
}
