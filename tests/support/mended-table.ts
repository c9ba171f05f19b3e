import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { rules } from '../../rules/index.js';
import { AssetError } from '../../src/asset/errors.js';
import { defaultSettings } from '../../src/check/settings.js';
import { harmsOf, harmWords } from '../../src/mend/harms.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import type { Repair } from '../../src/mend/repair.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { type StoredJson, splitGlb } from '../fixtures/read-back.js';
import { asOneGlb } from './one-glb.js';
import { type Apart, farApart } from './three-apart.js';

/** What became of one file. */
export interface MendedRow {
  readonly file: string;
  readonly seconds: number;
  /** Why there is nothing to compare; null where there is. */
  readonly refused: string | null;
  readonly verdicts: string;
  /** Errors, warnings and notes, before and after. */
  readonly levels: string;
  readonly changes: number;
  /** In words, all that is worse than before. */
  readonly worse: readonly string[];
  /** Rules that were allowed to change what is seen, and did. */
  readonly allowed: readonly string[];
  /** What three.js shows; in words where it cannot read the file. */
  readonly apart: Apart | string;
  /** Bytes that the mended files have more than the old. */
  readonly growth: number;
}

/** Whether everything is asked for that a mend may only do when asked. */
export type Asked = 'default' | 'everything';

export const LONGEST_SECONDS = 30;

export const FARTHEST_SHARE = 1e-5;

/** All assets of a folder, in order. */
export function assetsIn(folder: string): string[] {
  return readdirSync(folder)
    .filter((name) => /\.(glb|gltf|vrm)$/i.test(name))
    .sort();
}

/** Mends one file in memory and shows it to three.js before and after. */
export async function mendRow(
  folder: string,
  file: string,
  asked: Asked,
  repairs: readonly Repair[] = REPAIRS,
): Promise<MendedRow> {
  const all = [...new Set(repairs.flatMap((repair) => repair.rules))];
  const options =
    asked === 'default' ? {} : { allow: all, also: all, resample: true, restFrom: 'bind' as const };
  const start = performance.now();
  const row = { file, verdicts: '', levels: '', changes: 0, worse: [], allowed: [], growth: 0 };
  const secondsUp = (): number => (performance.now() - start) / 1000;
  try {
    const path = join(folder, file);
    const settings = defaultSettings(rules);
    const mended = await mendAsset(path, settings, repairs, { name: file, ...options });
    const seconds = secondsUp();
    const { before, after, changes, offending, isTurned } = mended;
    const isRefused = offending !== null || !isTurned;
    const refused = isRefused ? `refused: ${offending?.repair ?? 'not turned'}` : null;
    const beside = (name: string): Uint8Array => readFileSync(join(folder, name));
    const { main, buffers } = mended.files;
    const [old, made] = [readFileSync(path), Buffer.from(main)];
    const grown = [...buffers].map(([name, bytes]) => bytes.length - beside(name).length);
    return {
      ...{ file, seconds, refused, changes: changes.length },
      verdicts: `${before.verdict} > ${after.verdict}`,
      levels: `${levelsOf(before)} > ${levelsOf(after)}`,
      worse: [...harmsOf(before, after).values()].map(harmWords),
      allowed: mended.allowed.flatMap((change) => change.rules),
      apart: await apartIn(asOneGlb(old, beside), () =>
        asOneGlb(made, (name) => buffers.get(name) ?? beside(name)),
      ),
      growth: grown.reduce((sum, bytes) => sum + bytes, made.length - old.length),
    };
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    return { ...row, seconds: secondsUp(), refused: error.reason, apart: 'nothing was mended' };
  }
}

/** A file that three.js cannot read as it was says nothing; one that it cannot read any longer throws. */
async function apartIn(before: Uint8Array, after: () => Uint8Array): Promise<Apart | string> {
  const unread = unreadInThree(splitGlb(before).json);
  if (unread !== null) return unread;
  try {
    await farApart(before, before);
  } catch (error) {
    return `three.js cannot read it: ${error instanceof Error ? error.message : String(error)}`;
  }
  return farApart(before, after());
}

/** What three.js passes over, so that it shows something else, or plays without end. */
function unreadInThree({ meshes, animations, accessors, bufferViews }: StoredJson): string | null {
  const primitives = (meshes ?? []).flatMap((mesh) => mesh.primitives);
  if (primitives.some(({ attributes }) => 'JOINTS_1' in attributes))
    return 'three.js reads four joints a vertex, and this has more';
  const keys = (animations ?? []).flatMap(({ samplers }) => samplers);
  const isInterleaved = keys
    .flatMap(({ input, output }) => [input, output])
    .some((index) => bufferViews[accessors[index]?.bufferView ?? -1]?.byteStride !== undefined);
  return isInterleaved ? 'three.js reads no keys that are interleaved' : null;
}

function levelsOf({ findings }: AssetReport): string {
  return (['error', 'warning', 'note'] as const)
    .map((level) => findings.filter((finding) => finding.level === level).length)
    .join('/');
}

/** What of a row breaks the promise of a mend, in words. */
export function breaches(row: MendedRow, asked: Asked): string[] {
  const { apart, seconds, worse, allowed, refused } = row;
  const found: string[] = [];
  const isApart = typeof apart !== 'string' && !(apart.share <= FARTHEST_SHARE);
  if (isApart && allowed.length === 0)
    found.push(`${apart.where} is ${apart.share.toExponential(1)} of size off`);
  if (seconds > LONGEST_SECONDS) found.push(`took ${seconds.toFixed(0)} s`);
  if (asked === 'default') found.push(...worse.map((words) => `would ${words}`));
  if (asked === 'default' && refused?.startsWith('refused') === true) found.push(refused);
  return found;
}
