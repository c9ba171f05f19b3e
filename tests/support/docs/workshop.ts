import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { demoFiles } from '../../../fixtures/demo.js';
import { runCli } from '../run-cli.js';
import { shellWords } from './shell-words.js';

/** A command of a page that was run. */
export interface Run {
  readonly command: string;
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

const demo = demoFiles();

/** Where the pages' commands find the demo's rigs, by the names that the pages call them. */
const PLACES: readonly (readonly [path: string, rig: string])[] = [
  ['heron.glb', 'faulty/heron-with-a-flipped-shin.glb'],
  ['puppets/heron.glb', 'faulty/heron-with-a-flipped-shin.glb'],
  ['puppets/mule.glb', 'faulty/mule-with-forelegs-hung-by-the-hoof.glb'],
  ['puppets/caterpillar.glb', 'sound/caterpillar.glb'],
  ['class/bench-1/heron.glb', 'sound/heron.glb'],
  ['class/bench-2/heron.glb', 'faulty/heron-with-a-flipped-shin.glb'],
  ['class/bench-3/heron.glb', 'faulty/heron-cut-off.glb'],
  ...[...demo.keys()].map((path) => [`demo/${path}`, path] as const),
];

function inDemo(rig: string): Uint8Array {
  const bytes = demo.get(rig);
  if (bytes === undefined) throw new Error(`the demo has no ${rig}`);
  return bytes;
}

/** The day on which the commands of the pages are run: the waivers of an example must not run out. */
const TODAY = new Date('2027-01-15T12:00:00Z');

/** A folder with the demo's rigs, in which the commands of a page are run one after the other. */
export class Workshop {
  readonly runs: Run[] = [];
  private readonly folder = mkdtempSync(join(tmpdir(), 'trysquare-docs-'));
  private readonly cwd = join(this.folder, 'theatre');

  /** @param viewer The script of pages; what a command tells does not depend on it. */
  constructor(viewer = '// the viewer') {
    for (const [path, rig] of PLACES) this.write(path, inDemo(rig));
    this.write('../dist/page.js', viewer);
    // What a command tells does not depend on the drawings either.
    const handbook = { symbols: {}, pairs: {}, course: [], pool: [] };
    this.write('../dist/handbook.json', JSON.stringify(handbook));
    this.write('../dist/handbook.js', '// the curls');
  }

  /** Lays a file beside the rigs, such as a standard that a page shows. */
  write(path: string, content: string | Uint8Array): void {
    mkdirSync(dirname(join(this.cwd, path)), { recursive: true });
    writeFileSync(join(this.cwd, path), content);
  }

  /** What a command wrote into a file. Throws where there is none. */
  read(name: string): string {
    return readFileSync(join(this.cwd, name), 'utf8');
  }

  /** Runs a line of a block of commands where it is one of ours; others are for the reader's shell. */
  async runLine(line: string): Promise<void> {
    if (line.startsWith('trysquare ')) await this.run(line);
  }

  async run(command: string): Promise<Run> {
    const told = await runCli(shellWords(command).slice(1), {
      cwd: this.cwd,
      columns: 80,
      pageScript: join(this.folder, 'dist/page.js'),
      now: TODAY,
    });
    const run = { command, ...told };
    this.runs.push(run);
    return run;
  }

  close(): void {
    rmSync(this.folder, { recursive: true, force: true });
  }
}
