import type { Invocation, Log } from 'sarif';
import { describe, expect, test } from 'vitest';
import type { Report } from '../../src/report/report-types.js';
import { writeSarif } from '../../src/report/sarif.js';
import {
  findingsEverywhere,
  glbAsset,
  SAMPLE_LEDGER,
  SAMPLE_RULES,
  sampleFinding,
  sampleReport,
  sarifOptions,
  unreadableAsset,
} from './sample-report.js';
import { faultsOf, regionsOf, runOf } from './sample-run.js';

describe('the head of the log', () => {
  test('says what wrote it, by which schema, and ends with a newline', () => {
    const text = writeSarif(sampleReport([]), SAMPLE_RULES, sarifOptions());
    expect(text.endsWith('}\n')).toBe(true);
    expect(JSON.parse(text)).toMatchObject({
      $schema: expect.stringMatching(/^https:.*sarif-schema-2\.1\.0\.json$/),
      version: '2.1.0',
      runs: [
        {
          tool: {
            driver: {
              name: 'trysquare',
              fullName: 'trysquare 0.1.0',
              semanticVersion: '0.1.0',
            },
          },
          automationDetails: { id: 'trysquare/' },
          results: [],
        },
      ],
    });
  });

  test('leads to no place on the web that is not there', () => {
    const { driver } = runOf([]).tool;
    const leads = [driver, ...(driver.rules ?? []), ...(driver.notifications ?? [])].flatMap(
      (item) => Object.keys(item).filter((key) => /uri$/i.test(key)),
    );
    expect(leads).toEqual([]);
  });

  test('takes the category and the name of the run', () => {
    const run = runOf([], { category: 'puppets/main', run: 'night 12' });
    expect(run.automationDetails?.id).toBe('puppets/main/night 12');
  });

  test('is the same text for the same report', () => {
    const write = () =>
      writeSarif(
        sampleReport([glbAsset('heron.glb', findingsEverywhere())]),
        SAMPLE_RULES,
        sarifOptions(),
      );
    expect(write()).toBe(write());
  });
});

describe('an unreadable asset', () => {
  test('fails the run, with a notification and a result that services show', () => {
    const asset = unreadableAsset('beetle.glb', 'the file is empty', null);
    for (const target of ['standard', 'code-scanning'] as const) {
      const run = runOf([asset], { target });
      const text = 'This file could not be read: the file is empty.';
      const place = { physicalLocation: { artifactLocation: { uri: 'beetle.glb', index: 0 } } };
      expect(run.invocations).toMatchObject([
        {
          executionSuccessful: false,
          toolExecutionNotifications: [{ level: 'error', message: { text }, locations: [place] }],
        },
      ]);
      expect(run.results).toMatchObject([
        {
          ruleId: 'file.unreadable',
          ruleIndex: 3,
          level: 'error',
          message: { text },
          locations: [place],
        },
      ]);
    }
  });

  test.each([
    ['beetle.glb', 'byte 12', { byteOffset: 12, byteLength: 0 }, { startLine: 1 }],
    ['beetle.glb', 'line 3, column 5', undefined, { startLine: 1 }],
    [
      'mule.gltf',
      'line 3, column 5',
      { startLine: 3, startColumn: 5 },
      { startLine: 3, startColumn: 5 },
    ],
    [
      'mule.gltf',
      '/skins/0',
      { startLine: 12, startColumn: 13, endLine: 12, endColumn: 55 },
      { startLine: 12, startColumn: 13, endLine: 12, endColumn: 55 },
    ],
    ['mule.gltf', 'byte 0', { byteOffset: 0, byteLength: 0 }, { startLine: 1 }],
    ['mule.gltf', null, undefined, { startLine: 1 }],
  ])('%s, broken at %s, is told at the place', (path, where, standard, hosted) => {
    const asset = unreadableAsset(path, 'it is broken', where);
    expect(regionsOf(runOf([asset]))).toEqual([standard]);
    expect(regionsOf(runOf([asset], { target: 'code-scanning' }))).toEqual([hosted]);
  });

  test('leaves the other assets of the run their results', () => {
    const run = runOf([
      unreadableAsset('a.glb', 'it is empty', null),
      glbAsset('b.glb', [sampleFinding()]),
    ]);
    expect(faultsOf(run).map((result) => result.ruleId)).toEqual(['file.unreadable', 'axis.up']);
  });
});

describe('what a run tells of itself', () => {
  function invocationOf(change: Partial<Report>): Invocation | undefined {
    const report = { ...sampleReport([glbAsset('heron.glb')]), ...change };
    // The writer's own type, which the schema test holds the text to.
    const log = JSON.parse(writeSarif(report, SAMPLE_RULES, sarifOptions())) as Log;
    return log.runs[0]?.invocations?.[0];
  }

  test('is nothing when it went well', () => {
    expect(invocationOf({})).toEqual({
      executionSuccessful: true,
      toolExecutionNotifications: [],
    });
  });

  test('is a failure when it was stopped', () => {
    expect(invocationOf({ partial: { checked: 9, of: 400 } })).toMatchObject({
      executionSuccessful: false,
      toolExecutionNotifications: [
        {
          descriptor: { id: 'run.stopped' },
          level: 'error',
          message: { text: 'The run was stopped: 9 of 400 assets checked.' },
        },
      ],
    });
  });

  test('points at the waivers that need a look, and is no failure by that', () => {
    const notice = (id: string, startLine: number, text: string) => ({
      descriptor: { id },
      level: 'warning',
      message: { text },
      locations: [
        {
          physicalLocation: {
            artifactLocation: { uri: 'house/trysquare.waivers.json', index: 2 },
            region: { startLine },
          },
        },
      ],
    });
    const todo =
      'If the fault is mended, remove the waiver with "trysquare waive REPORT --prune". If its asset was moved, use --move OLD NEW.';
    expect(invocationOf({ ledger: SAMPLE_LEDGER })).toMatchObject({
      executionSuccessful: true,
      toolExecutionNotifications: [
        notice(
          'waiver.expired',
          4,
          'The last day of a waiver is past (2026-06-30), so it waives nothing: axis.up at body/neck of wagon/*.glb. Mend the fault, or renew the waiver with "trysquare waive REPORT --renew".',
        ),
        notice(
          'waiver.unmatched',
          11,
          `A waiver matches no finding any more: place.pair at any joint of mule.glb. ${todo}`,
        ),
        notice(
          'waiver.unmatched',
          18,
          `A waiver matches no finding any more: skin.sum anywhere in <b>.glb. ${todo}`,
        ),
      ],
    });
  });
});

describe('waived findings and rules that do not apply', () => {
  const waived = sampleFinding({
    waived: { by: 'props', why: 'a crank, not a joint', until: '2031-05-01' },
  });
  const asset = glbAsset('heron.glb', [waived, sampleFinding()]);

  test('are told to the standard as what they are', () => {
    const { results = [] } = runOf([asset]);
    expect(
      results.map((result) => [result.ruleId, result.kind, result.level, result.suppressions]),
    ).toEqual([
      [
        'axis.up',
        undefined,
        'error',
        [
          {
            kind: 'external',
            status: 'accepted',
            justification: 'a crank, not a joint (props, until 2031-05-01)',
          },
        ],
      ],
      ['axis.up', undefined, 'error', []],
      ['axis.mirror', 'notApplicable', 'none', []],
    ]);
    expect(results[2]?.message.text).toBe('Not applicable: the rig has no pairs');
  });

  test('are kept from services, which would show them as alerts', () => {
    const { results } = runOf([asset], { target: 'code-scanning' });
    expect(results).toMatchObject([{ ruleId: 'axis.up', level: 'error', suppressions: [] }]);
  });
});

describe('more results than services take', { timeout: 60_000 }, () => {
  const findings = Array.from({ length: 25_003 }, (_, node) =>
    sampleFinding({ level: node % 2 === 0 ? 'note' : 'error', place: { node, path: `${node}` } }),
  );
  const asset = { ...glbAsset('heron.glb', findings), rigs: [] };

  test('lose the mildest, keep their order, and say how many are gone', () => {
    const run = runOf([asset], { target: 'code-scanning' });
    expect(run.results).toHaveLength(25_000);
    expect(run.results?.filter((result) => result.level === 'error')).toHaveLength(12_501);
    const lines = regionsOf(run).map((region) => region?.startLine ?? 0);
    expect(lines).toEqual(lines.toSorted((a, b) => a - b));
    expect(run.invocations).toMatchObject([
      {
        executionSuccessful: true,
        toolExecutionNotifications: [
          {
            level: 'warning',
            message: {
              text: '3 of 25003 results were left out, the least serious ones first: services accept 25000.',
            },
          },
        ],
      },
    ]);
  });

  test('are all given to the standard', () => {
    const run = runOf([asset]);
    expect(run.results).toHaveLength(25_003);
    expect(run.invocations?.[0]?.toolExecutionNotifications).toEqual([]);
  });
});
