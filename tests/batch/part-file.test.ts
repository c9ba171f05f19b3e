import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { PartFile, putFile } from '../../src/batch/part-file.js';
import { FileSet, writeWhole } from '../../src/cli/output/write-output.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const bytes = (text: string): Uint8Array => Buffer.from(text);

describe('a part file', () => {
  it('is written beside its place and nothing is there until it is moved', () => {
    const folder = tempFolder();
    const path = join(folder, 'heron.json');
    const part = new PartFile(path);
    part.write(bytes('first, '));
    part.write(bytes('second'));
    expect(readdirSync(folder)).toEqual([expect.stringMatching(/^\.trysquare-\w+\.part$/)]);
    part.moveTo(path, false);
    expect(readdirSync(folder)).toEqual(['heron.json']);
    expect(readFileSync(path, 'utf8')).toBe('first, second');
  });

  it('has a name of its own, and removes no other when it is discarded', () => {
    const folder = tempFolder();
    const path = join(folder, 'heron.json');
    const parts = [new PartFile(path), new PartFile(path), new PartFile(path)];
    expect(readdirSync(folder)).toHaveLength(3);
    parts[0]?.discard();
    parts[0]?.discard();
    expect(readdirSync(folder)).toHaveLength(2);
    parts[1]?.moveTo(path, true);
    // What was moved is a report now, and not there to be discarded.
    parts[1]?.discard();
    parts[2]?.discard();
    expect(readdirSync(folder)).toEqual(['heron.json']);
  });

  it('takes no place that was taken meanwhile, unless it may', () => {
    const path = join(tempFolder({ 'heron.json': 'another run' }), 'heron.json');
    expect(() => putFile(path, 'ours', false)).toThrow(expect.objectContaining({ code: 'EEXIST' }));
    expect(readFileSync(path, 'utf8')).toBe('another run');
    expect(readdirSync(join(path, '..'))).toEqual(['heron.json']);
    putFile(path, 'ours', true);
    expect(readFileSync(path, 'utf8')).toBe('ours');
  });
});

// Such names were made of the process id alone, which another container repeats.
describe('part files of another run with this process id', () => {
  it('do not hinder a drawing, and are left alone', () => {
    const name = `.trysquare-${process.pid}.part`;
    const folder = tempFolder({ [name]: 'of another run' });
    writeWhole(join(folder, 'heron.svg'), 'heron.svg', 'a drawing');
    expect(readFileSync(join(folder, 'heron.svg'), 'utf8')).toBe('a drawing');
    expect(readFileSync(join(folder, name), 'utf8')).toBe('of another run');
  });

  it('do not hinder reports, and are left alone', async () => {
    const names = [0, 1, 2, 3].map((number) => `.trysquare-${process.pid}-${number}.part`);
    const others = Object.fromEntries(names.map((name) => [name, 'of another run']));
    const cwd = tempFolder({ 'heron.glb': buildGlb('heron'), ...others });
    const { code } = await runCli(['check', 'heron.glb', '-o', 'r.json', '-o', 'r.csv'], { cwd });
    expect(code).toBe(0);
    expect(readdirSync(cwd).sort()).toEqual([...names, 'heron.glb', 'r.csv', 'r.json'].sort());
    for (const name of names) expect(readFileSync(join(cwd, name), 'utf8')).toBe('of another run');
  });
});

describe('files that belong together', () => {
  it('are taken back, but for one that another run has put in place of its own', () => {
    const folder = tempFolder();
    const [heron, mule] = [join(folder, 'heron.md'), join(folder, 'mule.md')];
    const written = new FileSet(true);
    written.write(heron, 'heron.md', 'ours');
    written.write(mule, 'mule.md', 'ours');
    putFile(mule, 'their');
    written.takeBack([folder]);
    expect([existsSync(heron), readFileSync(mule, 'utf8')]).toEqual([false, 'their']);
  });

  it('are not written over what came to be there, unless they may be', () => {
    const folder = tempFolder();
    const path = join(folder, 'heron.md');
    const written = new FileSet(false);
    writeFileSync(path, 'their');
    expect(() => written.write(path, 'heron.md', 'ours')).toThrow('heron.md exists already');
    written.takeBack([]);
    expect(readFileSync(path, 'utf8')).toBe('their');
  });
});
