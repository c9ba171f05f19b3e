import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { rules } from '../../rules/index.js';
import { checkAsset, checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import type { AssetReport, Verdict } from '../../src/report/report-types.js';
import { EXTERNAL_NAME, type Mutant } from './mutant.js';
import { faultsOf, writerFaults } from './report-faults.js';

/** What came of one mutant. */
export interface Judgement {
  readonly verdict: Verdict | 'thrown';
  /** What must never be, each as one sentence; empty when all is well. */
  readonly faults: readonly string[];
  /**
   * Of the check alone, in the best of up to three goes. By the clock or by the processor, whichever
   * is less: the clock goes on while other programs have their turn.
   */
  readonly milliseconds: number;
  /** What the heap and the memory outside it grew by, nothing collected on purpose. */
  readonly growthBytes: number;
}

/** Longest that one mutant may take. */
export const MOST_MILLISECONDS = 2000;

/** Most that the memory in use may grow by over one check. */
export const MOST_GROWTH_BYTES = 256 * 2 ** 20;

/**
 * Checks a mutant as a run would, writes its report in every format, and tells what must not be.
 *
 * @param folder A folder of its own, for an asset with a buffer beside it.
 */
export async function judge(mutant: Mutant, folder: string): Promise<Judgement> {
  let best = await once(mutant, folder);
  for (let again = 0; again < 2 && best.milliseconds > MOST_MILLISECONDS; again++) {
    const next = await once(mutant, folder);
    if (next.milliseconds < best.milliseconds) best = next;
  }
  const { report, milliseconds, growthBytes, text } = best;
  const slow =
    milliseconds > MOST_MILLISECONDS
      ? [`it takes ${milliseconds.toFixed(0)} ms, over ${MOST_MILLISECONDS} ms`]
      : [];
  const large =
    growthBytes > MOST_GROWTH_BYTES
      ? [`memory grows by ${growthBytes >> 20} MiB, over ${MOST_GROWTH_BYTES >> 20} MiB`]
      : [];
  if (!('asset' in report))
    return {
      verdict: 'thrown',
      faults: [report.thrown, ...slow, ...large],
      milliseconds,
      growthBytes,
    };
  const { asset } = report;
  const faults = [...slow, ...large, ...faultsOf(asset), ...writerFaults(asset, text)];
  return { verdict: asset.verdict, faults, milliseconds, growthBytes };
}

interface Once {
  readonly report: { readonly asset: AssetReport } | { readonly thrown: string };
  /** JSON of a `.gltf`, for reports that point into it. */
  readonly text: string | null;
  readonly milliseconds: number;
  readonly growthBytes: number;
}

async function once(mutant: Mutant, folder: string): Promise<Once> {
  const path = mutant.external === null ? null : store(mutant, mutant.external, folder);
  const told: string[] = [];
  const options = {
    settings: settingsFor(mutant),
    name: `mutant.${mutant.ending}`,
    onText: (json: string) => void told.push(json),
  };
  const before = inUse();
  const start = performance.now();
  const startOfWork = process.cpuUsage();
  let report: Once['report'];
  try {
    report = {
      asset:
        path === null
          ? await checkAssetBytes(mutant.main, options)
          : await checkAsset(path, options),
    };
  } catch (error) {
    report = { thrown: `it throws ${String(error)}` };
  }
  const { user, system } = process.cpuUsage(startOfWork);
  const milliseconds = Math.min(performance.now() - start, (user + system) / 1000);
  const growthBytes = Math.max(0, inUse() - before);
  return { report, text: told[0] ?? null, milliseconds, growthBytes };
}

function settingsFor({ motion, axes }: Mutant): Settings {
  const wanted = axes
    ? ({ aim: { index: 1, sign: 1 }, up: { index: 2, sign: 1 } } as const)
    : { aim: null, up: null };
  return { ...defaultSettings(rules), motion, wanted };
}

function store(mutant: Mutant, external: Uint8Array, folder: string): string {
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, EXTERNAL_NAME), external);
  const path = join(folder, `mutant.${mutant.ending}`);
  writeFileSync(path, mutant.main);
  return path;
}

function inUse(): number {
  const { heapUsed, external } = process.memoryUsage();
  return heapUsed + external;
}
