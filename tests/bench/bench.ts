import { rmSync } from 'node:fs';
import { cpus, totalmem } from 'node:os';
import { fileURLToPath } from 'node:url';
import { buildGlb } from '../../fixtures/build.js';
import { makeLibrary, makeTroupe } from './batch.js';
import { bigRig } from './big-rig.js';
import { gainOfTwo, inTurn, makeFile, median, pathFor, removeFiles, run } from './processes.js';
import { timeWinding } from './winding.js';

/** One figure that a release is held to: a ratio of medians taken in turn in this run. */
interface Goal {
  readonly name: string;
  readonly unit: 'time' | 'memory';
  readonly ours: readonly string[];
  readonly theirs: readonly string[];
  readonly most: number;
}

const RUNS = 15;
/** The runs that growth is read off: they are longer, and what start-up takes cancels out. */
const GROWTH_RUNS = 7;
/** What a figure of growth may be over its law: caches hold less of a larger mesh, medians scatter. */
const GROWTH_ALLOWANCE = 1.2;
const SIZES = [25_000, 100_000, 400_000] as const;

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));
const bin = here('../../bin/trysquare.cjs');
const bare = here('./bare-read.mjs');
const files = SIZES.map((vertices) =>
  makeFile(`${vertices}.glb`, bigRig({ vertices, joints: 301, keys: 120, textureBytes: 0 })),
);
const big = files[1] ?? '';

/** Another rig of the same joints, as a candidate is. */
const rival = makeFile(
  'rival.glb',
  bigRig({ vertices: 100_000, joints: 301, keys: 120, textureBytes: 0, interleaved: true }),
);

/** What is held of both ways in which exporters store vertices. */
const ofLayouts = [false, true].flatMap((interleaved): Goal[] => {
  const layout = interleaved ? 'interleaved' : 'separate';
  const dense = makeFile(
    `${layout}.glb`,
    bigRig({ vertices: 100_000, joints: 301, keys: 120, textureBytes: 0, interleaved }),
  );
  const textured = makeFile(
    `${layout}-textured.glb`,
    bigRig({ vertices: 20_000, joints: 101, keys: 30, textureBytes: 200 << 20, interleaved }),
  );
  return [
    {
      name: `check, 100,000 vertices ${layout}, 300 joints, 300 channels / bare read`,
      unit: 'time',
      ours: [bin, 'check', dense],
      theirs: [bare, dense],
      most: 1.5,
    },
    {
      name: 'the same without the rules about places (--skip place) / bare read',
      unit: 'time',
      ours: [bin, 'check', dense, '--skip', 'place'],
      theirs: [bare, dense],
      most: 1.5,
    },
    {
      name: 'the same with all rules, peak memory',
      unit: 'memory',
      ours: [bin, 'check', dense],
      theirs: [bare, dense],
      most: 2,
    },
    {
      name: `check, 20,000 vertices ${layout} beside 200 MB of textures / bare read`,
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
  ];
});

const goals: readonly Goal[] = [
  ...ofLayouts,
  {
    name: 'check --motion, 100,000 vertices, 300 joints, 300 channels / bare read',
    unit: 'time',
    ours: [bin, 'check', big, '--motion'],
    theirs: [bare, big],
    most: 10,
  },
  {
    name: 'check with a page (--format html), 50,000 triangles, 300 joints / check alone',
    unit: 'time',
    ours: [bin, 'check', files[0] ?? '', '--format', 'html'],
    theirs: [bin, 'check', files[0] ?? ''],
    most: 4,
  },
  {
    name: 'mend a whole rig with a clip, 100,000 vertices, 300 joints, proof included / check',
    unit: 'time',
    ours: [bin, 'mend', big, '--aim', '+Y', '--up', '+Z', '--dry-run'],
    theirs: [bin, 'check', big],
    most: 5,
  },
  {
    name: 'compare two rigs of 300 joints, clips of 300 channels / check one',
    unit: 'time',
    ours: [bin, 'compare', big, rival],
    theirs: [bin, 'check', rival],
    most: 2.5,
  },
  {
    name: 'trysquare --version / node -e 0',
    unit: 'time',
    ours: [bin, '--version'],
    theirs: ['-e', '0'],
    most: 2,
  },
];

/** Writes a goal's line; whether it was met. */
function tell(name: string, figures: string, ratio: number, most: number): boolean {
  const met = ratio <= most;
  const held = `${ratio.toFixed(2)} (at most ${most.toFixed(2)})${met ? '' : '  MISSED'}`;
  process.stdout.write(`${name}\n  ${figures} = ${held}\n`);
  return met;
}

function holdGoal({ name, unit, ours, theirs, most }: Goal): boolean {
  const [a, b] = inTurn([ours, theirs], RUNS).map(({ milliseconds, kibibytes }) =>
    unit === 'time' ? milliseconds : kibibytes / 1024,
  );
  const word = unit === 'time' ? 'ms' : 'MiB';
  const figures = `${a?.toFixed(0)} ${word} / ${b?.toFixed(0)} ${word}`;
  return tell(name, figures, (a ?? Number.NaN) / (b ?? Number.NaN), most);
}

/** Time a vertex must not grow: with the small rig's time taken off, the large one's is in proportion. */
function holdGrowth(flags: readonly string[]): boolean {
  const times = inTurn(
    files.map((file) => [bin, 'check', file, ...flags]),
    GROWTH_RUNS,
  ).map((sample) => sample.milliseconds);
  const [small = Number.NaN, middle = Number.NaN, large = Number.NaN] = times;
  const law = (SIZES[2] - SIZES[0]) / (SIZES[1] - SIZES[0]);
  const name = `growth of ${['check', ...flags].join(' ')} with ${SIZES.join(', ')} vertices`;
  const figures = `${times.map((time) => `${time.toFixed(0)} ms`).join(', ')}; (third - first) / (second - first)`;
  return tell(name, figures, (large - small) / (middle - small), GROWTH_ALLOWANCE * law);
}

/**
 * Winding numbers cost no more than n log n, n being triangles x joints. In fact they stay near n log n in
 * the triangles alone, until the mesh has outgrown the processor's caches.
 */
async function holdWinding(): Promise<boolean> {
  const times = [
    await timeWinding(25_000, 76),
    await timeWinding(100_000, 301),
    await timeWinding(400_000, 1201),
  ];
  const met = times.slice(1).map((more, at) => {
    const less = times[at] ?? more;
    const law = ({ triangles, joints }: typeof more): number =>
      triangles * joints * Math.log(triangles * joints);
    const figures = [less, more].map(
      ({ triangles, joints, milliseconds }) =>
        `${milliseconds.toFixed(1)} ms (${triangles} triangles, ${joints} joints)`,
    );
    return tell(
      'winding numbers, mesh and joints four times as many, in one process',
      [...figures].reverse().join(' / '),
      more.milliseconds / less.milliseconds,
      law(more) / law(less),
    );
  });
  return met.every(Boolean);
}

/** Runs over libraries, few: each takes seconds. */
const LIBRARY_RUNS = 3;
/** The same for what two workers gain: the goal is tight, and runs scatter. */
const WORKER_RUNS = 7;
/** What two workers gain at least of what two runs that share nothing do. */
const LEAST_GAIN = 0.95;
/** What a peak may be over that of a short run: each worker's heap grows for a while before it settles. */
const MEMORY_ALLOWANCE = 1.35;
/** The same once most of that is done: what an engine lets lie before it collects it, and what scatters. */
const SETTLED_ALLOWANCE = 1.2;

/**
 * What two workers gain over one, against what the machine gives two runs that share nothing, half of the
 * list each: its cores may be two threads of one. All in turn, since other work comes and goes.
 */
async function holdWorkers(check: (...flags: string[]) => string[]): Promise<boolean> {
  const half = (index: number): string[] => check('--workers', '1', '--part', `${index}/2`);
  const gains: { readonly workers: number; readonly apart: number }[] = [];
  for (let at = 0; at < WORKER_RUNS; at++) {
    const [one, two] = inTurn([check('--workers', '1'), check('--workers', '2')], 1);
    gains.push({
      workers: (one?.milliseconds ?? Number.NaN) / (two?.milliseconds ?? Number.NaN),
      apart: await gainOfTwo([half(1), half(2)], 1),
    });
  }
  const workers = median(gains.map((gain) => gain.workers));
  const apart = median(gains.map((gain) => gain.apart));
  return tell(
    '500 mixed rigs, gain of two runs that share nothing / of 2 workers',
    `${apart.toFixed(2)} x / ${workers.toFixed(2)} x`,
    median(gains.map((gain) => gain.apart / gain.workers)),
    1 / LEAST_GAIN,
  );
}

/** What two workers gain at least over one that mends. */
const LEAST_MEND_GAIN = 1.7;

/** What two workers gain over one when they mend, and write what they made. In turn in this run. */
function holdMenders(): boolean {
  const rigs = makeTroupe(pathFor('to-mend'), 60);
  const out = pathFor('mended');
  // Turned as a whole, rigs without a fault have something to mend, too.
  const mend = [bin, 'mend', rigs, '--out-dir', out, '--aim', '+Y', '--up', '+Z', '--quiet'];
  const gains: number[] = [];
  const times: [number[], number[]] = [[], []];
  for (let at = 0; at < LIBRARY_RUNS; at++) {
    const [one = Number.NaN, two = Number.NaN] = ['1', '2'].map((workers, which) => {
      rmSync(out, { recursive: true, force: true });
      const { milliseconds } = run([...mend, '--workers', workers]);
      times[which]?.push(milliseconds);
      return milliseconds;
    });
    gains.push(one / two);
  }
  rmSync(rigs, { recursive: true, force: true });
  const [first, second] = times.map((list) => `${median(list).toFixed(0)} ms`);
  return tell(
    'mend 60 rigs of 10,000 to 50,000 vertices with clips, with 2 workers / with 1',
    `${second} / ${first}`,
    1 / median(gains),
    1 / LEAST_MEND_GAIN,
  );
}

/** Lists of files: what workers gain, what the cache saves, and that memory does not grow with the list. */
async function holdBatches(): Promise<boolean[]> {
  const check = (library: string, ...flags: string[]): string[] => {
    return [bin, 'check', library, '--failing', 'never', '--quiet', ...flags];
  };
  const mixed = makeLibrary(pathFor('mixed'), 500);
  const workersMet = await holdWorkers((...flags) => check(mixed, ...flags));
  const cache = pathFor('cache');
  const cached = Array.from({ length: LIBRARY_RUNS }, () => {
    rmSync(cache, { recursive: true, force: true });
    const command = check(mixed, '--cache', cache);
    return [run(command), run(command)].map(({ milliseconds }) => milliseconds);
  });
  const first = median(cached.map(([time]) => time ?? Number.NaN));
  const second = median(cached.map(([, time]) => time ?? Number.NaN));
  const candidates = makeLibrary(pathFor('candidates'), 500, 1);
  const approved = makeFile('approved.glb', buildGlb('heron'));
  const compare = [bin, 'compare', approved, candidates, '--failing', 'never'];
  const compared = inTurn([[...compare, '--quiet'], check(candidates)], LIBRARY_RUNS).map(
    ({ milliseconds }) => milliseconds,
  );
  rmSync(candidates, { recursive: true, force: true });
  rmSync(mixed, { recursive: true, force: true });
  const peaks = inTurn(
    [100, 500, 2000].map((count) => check(makeLibrary(pathFor(`cast-${count}`), count, 1))),
    LIBRARY_RUNS,
  ).map(({ kibibytes }) => kibibytes / 1024);
  const [few, some, many] = peaks;
  const ms = (time = Number.NaN): string => `${time.toFixed(0)} ms`;
  const mib = (size = Number.NaN): string => `${size.toFixed(0)} MiB`;
  const of = (a = Number.NaN, b = Number.NaN): number => a / b;
  return [
    workersMet,
    tell(
      '500 mixed rigs, all in the cache / none',
      `${ms(second)} / ${ms(first)}`,
      of(second, first),
      1 / 15,
    ),
    tell(
      '500 candidates compared / checked',
      `${ms(compared[0])} / ${ms(compared[1])}`,
      of(compared[0], compared[1]),
      1,
    ),
    tell(
      'peak memory, 2000 rigs / 100',
      `${mib(many)} / ${mib(few)}`,
      of(many, few),
      MEMORY_ALLOWANCE,
    ),
    tell(
      'peak memory, 2000 rigs / 500',
      `${mib(many)} / ${mib(some)}`,
      of(many, some),
      SETTLED_ALLOWANCE,
    ),
  ];
}

try {
  const machine = `${cpus()[0]?.model.trim()}, ${cpus().length} cores, ${Math.round(totalmem() / 2 ** 30)} GiB, Node ${process.version}`;
  process.stdout.write(`${machine}; medians of ${RUNS} runs in turn\n\n`);
  const met = [
    ...goals.map(holdGoal),
    holdGrowth([]),
    holdGrowth(['--motion']),
    await holdWinding(),
    ...(await holdBatches()),
    holdMenders(),
  ];
  process.exitCode = met.every(Boolean) ? 0 : 1;
} finally {
  removeFiles();
}
