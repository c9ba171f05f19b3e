import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { classOf30 } from '../grade/class-of-30.js';
import { gradeLine } from '../grade/run-grade.js';
import { built } from '../support/built.js';
import { tempFolder } from '../support/temp-folder.js';

it('a class of 30 is graded the same by one worker, by several, in this thread, and from a cache', async () => {
  const cwd = tempFolder({});
  classOf30(cwd);
  const worker = join(built.folder, 'bin/worker.cjs');
  const ways = [[], ['--workers', '1'], ['--workers', '4', '--cache', 'kept'], ['--cache', 'kept']];
  const told = [];
  for (const [at, way] of ways.entries()) {
    const setting = at === 0 ? {} : { worker };
    const { code, stdout } = await gradeLine(cwd, ['class', '-o', `g${at}`, ...way], setting);
    const files = [
      'gradebook.csv',
      ...readdirSync(join(cwd, `g${at}/feedback`)).map((name) => `feedback/${name}`),
    ];
    const texts = files.map((name) => [name, readFileSync(join(cwd, `g${at}`, name), 'utf8')]);
    told.push(JSON.stringify([code, stdout.replaceAll(`g${at}/`, 'g/'), texts]));
  }
  expect(readdirSync(join(cwd, 'kept')).length).toBeGreaterThan(0);
  expect(new Set(told).size).toBe(1);
}, 120_000);
