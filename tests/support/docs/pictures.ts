import { createHash } from 'node:crypto';
import { Workshop } from './workshop.js';

/** The rig of all pictures, and of the report beside them. */
export const RIG = 'demo/faulty/heron-with-a-flipped-shin.glb';

/** Where the pictures are, in the repository. */
export const PICTURES = {
  sheet: 'docs/pictures/sheet.svg',
  page: 'docs/pictures/page.png',
  /** Tells from which page the picture was taken; a picture's own bytes depend on fonts and browser. */
  pageMark: 'docs/pictures/page.made-from',
} as const;

/** The sheet as the command draws it now. */
export async function makeSheet(): Promise<string> {
  return (await made(`trysquare draw ${RIG}`)).stdout;
}

/** What the page of the picture holds now but for its viewer, as one line to compare. */
export async function pageMark(): Promise<string> {
  const { stdout } = await made(`trysquare check ${RIG} --format html`);
  return `sha256 ${createHash('sha256').update(stdout).digest('hex')}\n`;
}

async function made(command: string): Promise<{ readonly stdout: string }> {
  const workshop = new Workshop();
  try {
    const run = await workshop.run(command);
    if (run.stdout === '') throw new Error(`${command} made nothing: ${run.stderr}`);
    return run;
  } finally {
    workshop.close();
  }
}

/** The window that the page is photographed in, in pixels. */
export const WINDOW = { width: 980, height: 670 };
