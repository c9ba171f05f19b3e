import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { XmlDocument, XmlElement } from 'libxml2-wasm';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

/** Seconds of the elements at a path, as an XML reader that is not ours sees them; null for none. */
function timesAt(xml: string, path: string): (number | null)[] {
  const document = XmlDocument.fromString(xml);
  const times = document.find(path).map((node) => {
    const written = node instanceof XmlElement ? node.attr('time')?.value : undefined;
    return written === undefined ? null : Number(written);
  });
  document.dispose();
  return times;
}

const sum = (times: readonly (number | null)[]) =>
  times.reduce((all: number, one) => all + (one ?? 0), 0);

/** Rounding of each of some fifty cases to a millionth. */
const ROUNDED = 1e-4;

const files = { 'heron.glb': buildGlb('heron'), 'cut.glb': buildGlb('heron').slice(0, 1000) };

describe('times in JUnit XML', () => {
  it('are those that the checks took: more than nothing, no more than passed, cases as much as suites', async () => {
    const cwd = tempFolder(files);
    const begun = performance.now();
    const { stdout } = await runCli(['check', '.', '-f', 'junit'], { cwd });
    const passed = (performance.now() - begun) / 1000;
    const suites = timesAt(stdout, '/testsuites/testsuite');
    expect(suites).toHaveLength(2);
    for (const time of suites) expect(time).toBeGreaterThan(0);
    expect(sum(suites)).toBeLessThan(passed);
    expect(sum(timesAt(stdout, '/testsuites'))).toBeCloseTo(sum(suites), 4);
    const cases = sum(timesAt(stdout, '//testcase'));
    expect(Math.abs(cases - sum(suites))).toBeLessThan(ROUNDED);
  });

  it('are left out of what comes from a cache, and of reports that are joined', async () => {
    const cwd = tempFolder(files);
    const args = ['check', '.', '-f', 'junit', '--cache', 'kept'];
    expect(timesAt((await runCli(args, { cwd })).stdout, '//testsuite')).not.toContain(null);
    const { stdout } = await runCli(args, { cwd });
    // What cannot be read is not kept, and read again.
    expect(timesAt(stdout, '//testsuite')).toEqual([expect.any(Number), null]);
    await runCli(['check', '.', '--out', 'part.json', '--out', 'part.xml'], { cwd });
    const merged = (await runCli(['merge', 'part.json', '-f', 'junit'], { cwd })).stdout;
    expect(
      new Set(timesAt(merged, '//*[self::testsuites or self::testsuite or self::testcase]')),
    ).toEqual(new Set([null]));
    const beside = readFileSync(join(cwd, 'part.xml'), 'utf8');
    expect(beside.replace(/ time="[^"]*"/g, '')).toBe(merged);
  });
});
