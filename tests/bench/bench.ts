import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir, totalmem } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { bigRig } from './big-rig.js';

/** One figure that a release is held to: a ratio of medians taken in turn in this run. */
interface Goal {
  readonly name: string;
  readonly unit: 'time' | 'memory';
  readonly ours: readonly string[];
  readonly theirs: readonly string[];
  readonly most: number;
}

interface Sample {
  readonly milliseconds: number;
  readonly kibibytes: number;
}

const RUNS = 15;
const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));
const bin = here('../../bin/trysquare.cjs');
const bare = here('./bare-read.mjs');
const folder = mkdtempSync(join(tmpdir(), 'trysquare-bench-'));

/** Runs one whole process, start-up included, its output thrown away. */
function run(args: readonly string[]): Sample {
  const memoryFile = join(folder, 'memory');
  const env = { ...process.env, BENCH_MEMORY_FILE: memoryFile };
  const start = process.hrtime.bigint();
  const { status } = spawnSync(
    process.execPath,
    ['--require', here('./report-memory.cjs'), ...args],
    { env, stdio: 'ignore' },
  );
  const milliseconds = Number(process.hrtime.bigint() - start) / 1e6;
  if (status !== 0) throw new Error(`exit code ${status} from ${args.join(' ')}`);
  return { milliseconds, kibibytes: Number(readFileSync(memoryFile, 'utf8')) };
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
}

/** Both commands in turn, A B A B, after one run of each that is not counted. */
function compare({ ours, theirs }: Pick<Goal, 'ours' | 'theirs'>): {
  ours: Sample;
  theirs: Sample;
} {
  const samples = { ours: [] as Sample[], theirs: [] as Sample[] };
  for (let at = -1; at < RUNS; at++) {
    const [a, b] = [run(ours), run(theirs)];
    if (at < 0) continue;
    samples.ours.push(a);
    samples.theirs.push(b);
  }
  const middle = (list: readonly Sample[]): Sample => ({
    milliseconds: median(list.map((item) => item.milliseconds)),
    kibibytes: median(list.map((item) => item.kibibytes)),
  });
  return { ours: middle(samples.ours), theirs: middle(samples.theirs) };
}

function makeFile(name: string, bytes: Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, bytes);
  return path;
}

const big = makeFile(
  'big.glb',
  bigRig({ vertices: 100_000, joints: 301, keys: 120, textureBytes: 0 }),
);
const textured = makeFile(
  'textured.glb',
  bigRig({ vertices: 20_000, joints: 101, keys: 30, textureBytes: 200 << 20 }),
);
const goals: readonly Goal[] = [
  {
    name: 'check, 100,000 vertices, 300 joints, 300 channels / bare read',
    unit: 'time',
    ours: [bin, 'check', big],
    theirs: [bare, big],
    most: 1.5,
  },
  {
    name: 'check, 20,000 vertices beside 200 MB of textures / bare read',
    unit: 'time',
    ours: [bin, 'check', textured],
    theirs: [bare, textured],
    most: 0.5,
  },
  {
    name: 'the same, peak memory',
    unit: 'memory',
    ours: [bin, 'check', textured],
    theirs: [bare, textured],
    most: 0.2,
  },
  {
    name: 'trysquare --version / node -e 0',
    unit: 'time',
    ours: [bin, '--version'],
    theirs: ['-e', '0'],
    most: 2,
  },
];

try {
  const machine = `${cpus()[0]?.model.trim()}, ${cpus().length} cores, ${Math.round(totalmem() / 2 ** 30)} GiB, Node ${process.version}`;
  process.stdout.write(`${machine}; medians of ${RUNS} runs in turn\n\n`);
  let missed = 0;
  for (const goal of goals) {
    const { ours, theirs } = compare(goal);
    const [a, b] =
      goal.unit === 'time'
        ? [ours.milliseconds, theirs.milliseconds]
        : [ours.kibibytes / 1024, theirs.kibibytes / 1024];
    const unit = goal.unit === 'time' ? 'ms' : 'MiB';
    const ratio = a / b;
    if (ratio > goal.most) missed++;
    process.stdout.write(
      `${goal.name}\n  ${a.toFixed(0)} ${unit} / ${b.toFixed(0)} ${unit} = ${ratio.toFixed(2)} (at most ${goal.most})${ratio > goal.most ? '  MISSED' : ''}\n`,
    );
  }
  process.exitCode = missed === 0 ? 0 : 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}
