import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** One whole command, start-up included. */
export interface Sample {
  readonly milliseconds: number;
  /** Peaks of all its processes, summed. */
  readonly kibibytes: number;
}

const folder = mkdtempSync(join(tmpdir(), 'trysquare-bench-'));
const reportMemory = fileURLToPath(new URL('./report-memory.cjs', import.meta.url));

export function makeFile(name: string, bytes: Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, bytes);
  return path;
}

/** A path in the folder that goes when the bench is done. */
export function pathFor(name: string): string {
  return join(folder, name);
}

export function removeFiles(): void {
  rmSync(folder, { recursive: true, force: true });
}

/** Runs Node with some arguments, its output thrown away. */
export function run(args: readonly string[]): Sample {
  const memory = join(folder, 'memory');
  rmSync(memory, { recursive: true, force: true });
  mkdirSync(memory);
  const env = {
    ...process.env,
    BENCH_MEMORY_FOLDER: memory,
    NODE_OPTIONS: `--require ${reportMemory}`,
  };
  const start = process.hrtime.bigint();
  const { status } = spawnSync(process.execPath, args, { env, stdio: 'ignore' });
  const milliseconds = Number(process.hrtime.bigint() - start) / 1e6;
  if (status !== 0) throw new Error(`exit code ${status} from ${args.join(' ')}`);
  const names = readdirSync(memory).filter((name) => !name.endsWith('.part'));
  const peaks = names.map((name) => Number(readFileSync(join(memory, name), 'utf8')));
  return { milliseconds, kibibytes: peaks.reduce((sum, peak) => sum + peak, 0) };
}

/** Medians of some commands run in turn, A B C A B C, after one run of each that is not counted. */
export function inTurn(commands: readonly (readonly string[])[], runs: number): Sample[] {
  const samples = commands.map((): Sample[] => []);
  for (let at = -1; at < runs; at++)
    commands.forEach((command, which) => {
      const sample = run(command);
      if (at >= 0) samples[which]?.push(sample);
    });
  return samples.map((list) => ({
    milliseconds: median(list.map((item) => item.milliseconds)),
    kibibytes: median(list.map((item) => item.kibibytes)),
  }));
}

/**
 * What the machine's cores give to two commands that share nothing: their time one after the other
 * against their time at once, 2 where neither slows the other down. Median of some runs.
 */
export async function gainOfTwo(
  commands: readonly [readonly string[], readonly string[]],
  runs: number,
): Promise<number> {
  const gains: number[] = [];
  for (let at = 0; at < runs; at++) {
    const apart = run(commands[0]).milliseconds + run(commands[1]).milliseconds;
    const start = process.hrtime.bigint();
    const both = commands.map((args) => spawn(process.execPath, args, { stdio: 'ignore' }));
    await Promise.all(both.map((child) => once(child, 'exit')));
    gains.push(apart / (Number(process.hrtime.bigint() - start) / 1e6));
  }
  return median(gains);
}

export function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
}
