import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { copyFileSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { ReportCache } from '../../src/batch/report-cache.js';
import { unreadableReport } from '../../src/check/check-asset.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { checkBuilt } from '../support/check-built.js';
import { tempFolder } from '../support/temp-folder.js';

const HERON = { file: 'f'.repeat(64), all: 'a'.repeat(64) };
const MULE = { file: '0'.repeat(64), all: '1'.repeat(64) };

const faulty = await checkBuilt(build('heron', { faults: [faultNamed('flipped-shin')] }));

/** A cache that holds the faulty heron, and the path of its entry. */
function cacheWithHeron(): { cache: ReportCache; cwd: string; entry: string } {
  const cwd = tempFolder();
  const cache = new ReportCache({ folder: cwd, settings: 'house' });
  expect(cache.put(HERON, faulty)).toBeNull();
  return { cache, cwd, entry: onlyEntry(cwd) };
}

function onlyEntry(cwd: string): string {
  const [name = ''] = readdirSync(cwd, { recursive: true })
    .map(String)
    .filter((path) => path.endsWith('.json'));
  return join(cwd, name);
}

/** Writes an entry as somebody would who knows how its digest is made. */
function forge(entry: string, body: string): void {
  const key = entry.slice(-('.json'.length + 65), -'.json'.length).replace(/[\\/]/, '');
  const digest = createHash('sha256').update(`${key}\n${body}`).digest('hex');
  writeFileSync(entry, `${digest}\n${body}`);
}

/** The kept report with one thing in it changed. */
function changed(change: (report: Record<string, unknown>) => unknown): string {
  const copy: unknown = JSON.parse(JSON.stringify({ ...faulty, path: '' }));
  const report = Object(copy) as Record<string, unknown>;
  return JSON.stringify(change(report) ?? report);
}

describe('what is kept', () => {
  it.each(castNames)('is given out as it was put: %s', async (name) => {
    const report = await checkBuilt(build(name));
    const cache = new ReportCache({ folder: tempFolder(), settings: 'house' });
    cache.put(HERON, report);
    // JSON has no -0.
    expect(cache.get(HERON, report.path, false)).toEqual(JSON.parse(JSON.stringify(report)));
  });

  it('is believed when it is written again by the same recipe', () => {
    const { cache, entry } = cacheWithHeron();
    const before = readFileSync(entry, 'utf8');
    forge(
      entry,
      changed(() => undefined),
    );
    expect(readFileSync(entry, 'utf8')).toBe(before);
    expect(cache.get(HERON, 'heron.glb', false)?.findings).toHaveLength(faulty.findings.length);
  });

  it('counts as none where a pipe stands in its place, which would never end', () => {
    const { cache, entry } = cacheWithHeron();
    rmSync(entry);
    execFileSync('mkfifo', [entry]);
    expect(cache.get(HERON, '', false)).toBeNull();
  });

  it('counts as none in the place of another, or under other settings', () => {
    const { cache, cwd, entry } = cacheWithHeron();
    cache.put(MULE, faulty);
    const other = readdirSync(cwd, { recursive: true })
      .map((name) => join(cwd, String(name)))
      .find((path) => path.endsWith('.json') && path !== entry);
    copyFileSync(entry, other ?? '');
    expect(cache.get(MULE, 'mule.glb', false)).toBeNull();
    expect(cache.get(HERON, 'heron.glb', false)).not.toBeNull();
    expect(new ReportCache({ folder: cwd, settings: 'other' }).get(HERON, '', false)).toBeNull();
  });
});

const firstRig = (report: AssetReport): unknown => ({ ...report, rigs: report.rigs.slice(1) });

describe('an entry with a fitting digest that no check made', () => {
  it.each<[string, string]>([
    ['is not JSON', '{'],
    ['is null', 'null'],
    ['is a list', '[]'],
    ['is nested without end', '['.repeat(100_000)],
    ['lacks a part', changed(({ findings: _, ...rest }) => rest)],
    ['has a part too many', changed((report) => ({ ...report, more: 1 }))],
    ['has findings that are no list', changed((report) => ({ ...report, findings: {} }))],
    ['has a finding that is null', changed((report) => ({ ...report, findings: [null] }))],
    ['has a verdict of its own', changed((report) => ({ ...report, verdict: 'fine' }))],
    [
      'is sound without a rig',
      changed((report) => ({
        ...report,
        verdict: 'sound',
        rigs: [],
        findings: [],
        counts: { error: 0, warning: 0, note: 0 },
      })),
    ],
    ['is of an unreadable asset', JSON.stringify({ ...unreadableReport('', 'cut', null) })],
    [
      'is unsound without a finding',
      changed((report) => ({
        ...report,
        findings: [],
        counts: { error: 0, warning: 0, note: 0 },
      })),
    ],
    [
      'counts other findings than it has',
      changed((report) => ({
        ...report,
        counts: { error: 0, warning: 0, note: 0 },
      })),
    ],
    ['tells of rigs that it has not', JSON.stringify(firstRig({ ...faulty, path: '' }))],
    [
      'tells of a joint that is not there',
      changed((report) => ({
        ...report,
        findings: faulty.findings.map((item) => ({
          ...item,
          place: { ...item.place, joint: 9999 },
        })),
      })),
    ],
    [
      'has joints below each other in a circle',
      changed((report) => ({
        ...report,
        rigs: faulty.rigs.map((rig) => ({
          ...rig,
          joints: rig.joints.map((joint, at) => ({ ...joint, parent: at })),
        })),
      })),
    ],
    [
      'has a waiver in it',
      changed((report) => ({
        ...report,
        counts: { error: 0, warning: 0, note: 0 },
        findings: faulty.findings.map((item) => ({
          ...item,
          waived: { by: 'nobody', why: 'none', until: null },
        })),
      })),
    ],
  ])('counts as none when it %s', (_, body) => {
    const { cache, entry } = cacheWithHeron();
    forge(entry, body);
    expect(cache.get(HERON, 'heron.glb', true)).toBeNull();
  });
});
