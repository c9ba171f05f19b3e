import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { handbookPlace } from '../../../src/cli/output/handbook-place.js';
import { runCli } from '../../support/run-cli.js';
import { tempFolder } from '../../support/temp-folder.js';

const page = (...ids: string[]): string =>
  ids.map((id) => `<article class="entry" id="${id}">`).join('\n');

describe('the handbook that a run leads to', () => {
  it('is none where nobody names one', () => {
    expect(handbookPlace({}, {}, { cwd: '/' })).toBeNull();
  });

  it('is an address on the web, with an entry of every rule of ours and of no other', () => {
    const settings = { handbook: 'https://house.example/handbook.html' };
    const place = handbookPlace({}, settings, { cwd: '/' });
    const link = place?.anywhere;
    expect(link?.('axis.up')).toBe('https://house.example/handbook.html#axis.up');
    expect(place?.from('/any')('axis.up')).toBe(link?.('axis.up'));
    expect(link?.('prop.wheel')).toBeNull();
    const named = handbookPlace({ handbook: 'http://other.example/h' }, settings, { cwd: '/' });
    expect(named?.anywhere?.('axis.up')).toBe('http://other.example/h#axis.up');
  });

  it('is a file, led to from where the page lies, for the rules that it has', () => {
    const cwd = tempFolder({ 'our book.html': page('axis.up', 'prop.wheel') });
    const place = handbookPlace({ handbook: 'our book.html' }, {}, { cwd });
    expect(place?.from(cwd)('axis.up')).toBe('our%20book.html#axis.up');
    expect(place?.from(join(cwd, 'out/pages'))('prop.wheel')).toBe(
      '../../our%20book.html#prop.wheel',
    );
    expect(place?.from(cwd)('axis.aim')).toBeNull();
    expect(place?.anywhere).toBeNull();
  });

  it.each([
    ['missing.html', 'not there; write it with "trysquare rules --out missing.html"'],
    ['other.html', 'not a handbook'],
    ['javascript:alert(1)', 'not there'],
    ['https://house.example/h#top', 'without #'],
    ['https://', 'not the address of a page'],
  ])('cannot be %s', (handbook, words) => {
    const cwd = tempFolder({ 'other.html': '<p>' });
    expect(() => handbookPlace({ handbook }, {}, { cwd })).toThrow(words);
  });
});

describe('in reports', () => {
  const files = {
    'heron.glb': buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
    'book.html': page('axis.up'),
  };
  const address = 'https://house.example/handbook.html';
  const sarif = async (...args: string[]) => {
    const cwd = tempFolder(files);
    const run = await runCli(['check', 'heron.glb', '--format', 'sarif', ...args], { cwd });
    const log = JSON.parse(run.stdout) as {
      runs: { tool: { driver: { rules: { id: string; helpUri?: string }[] } } }[];
    };
    return log.runs[0]?.tool.driver.rules ?? [];
  };

  it('SARIF has a helpUri for each rule that the handbook has, and only by an address', async () => {
    const rules = await sarif('--handbook', address);
    expect(rules.filter(({ helpUri }) => helpUri === undefined).map(({ id }) => id)).toEqual([
      'file.unreadable',
    ]);
    expect(rules.find(({ id }) => id === 'axis.up')?.helpUri).toBe(`${address}#axis.up`);
    for (const args of [[], ['--handbook', 'book.html']])
      expect((await sarif(...args)).filter(({ helpUri }) => helpUri !== undefined)).toEqual([]);
  });

  it('takes the address of the standard', async () => {
    const own = tempFolder({
      'heron.glb': buildGlb('heron'),
      'trysquare.json': JSON.stringify({ handbook: address }),
      'wrong.json': '{ "handbook": "javascript:alert(1)" }',
    });
    const run = await runCli(['check', 'heron.glb', '--format', 'sarif'], { cwd: own });
    expect(run.stdout).toContain(`"helpUri": "${address}#axis.up"`);
    const wrong = await runCli(['check', 'heron.glb', '-s', 'wrong.json'], { cwd: own });
    expect([wrong.code, wrong.stderr]).toEqual([
      2,
      'trysquare: the standard wrong.json is wrong at line 1, column 15: "handbook" is "javascript:alert(1)"; give the address of a page on the web without #, such as https://house.example/handbook.html\n',
    ]);
  });

  it('is refused for a report that leads nowhere', async () => {
    const cwd = tempFolder(files);
    const run = await runCli(['check', 'heron.glb', '--handbook', address], { cwd });
    expect([run.code, run.stderr]).toEqual([
      2,
      'trysquare: --handbook is for pages and SARIF only; add --format html or sarif\n',
    ]);
  });
});
