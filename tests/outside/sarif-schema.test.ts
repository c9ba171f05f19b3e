// Source: OASIS SARIF 2.1.0 errata schema (draft-04), from npm `@microsoft/jest-sarif`, file
// `lib/schemas/sarif-2.1.0-rtm.5.json`; only the schema is used. What it does not see is held to
// the text of the standard (OASIS, Static Analysis Results Interchange Format 2.1.0 plus errata
// 01), each rule with its section.
import { createRequire } from 'node:module';
import AjvDraft04 from 'ajv-draft-04';
import addFormats from 'ajv-formats';
import type { Graph, Log, Result, Run } from 'sarif';
import { describe, expect, test } from 'vitest';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { writeSarif } from '../../src/report/sarif.js';
import {
  failedRules,
  findingsEverywhere,
  glbAsset,
  gltfAsset,
  HOSTILE_NAMES,
  listingFinding,
  SAMPLE_LEDGER,
  SAMPLE_RULES,
  sampleFinding,
  sampleReport,
  sampleRig,
  sarifOptions,
  unreadableAsset,
} from '../report/sample-report.js';
import { textFaults } from '../report/sarif-text-faults.js';

const ajv = new AjvDraft04.default({ allErrors: true, strict: false, unicodeRegExp: false });
addFormats.default(ajv);
const schema: object = createRequire(import.meta.url)(
  '@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json',
);
const validate = ajv.compile(schema);

function schemaFaults(log: unknown): readonly string[] {
  validate(log);
  return (validate.errors ?? []).map((error) => `${error.instancePath} ${error.message}`);
}

const hostile = Object.values(HOSTILE_NAMES);

const CASES: Readonly<Record<string, readonly AssetReport[]>> = {
  'no asset': [],
  'sound assets': [glbAsset('heron.glb'), gltfAsset('mule.gltf')],
  'a faulty .glb': [glbAsset('heron.glb', findingsEverywhere())],
  'a faulty .gltf': [gltfAsset('mule.gltf', findingsEverywhere())],
  'an unreadable .glb': [unreadableAsset('beetle.glb', 'the file is empty', 'byte 0')],
  'an unreadable .gltf': [unreadableAsset('mule.gltf', 'the JSON is broken', 'line 3, column 9')],
  'an unreadable name': [unreadableAsset('beetle', 'there is no such file', null)],
  'a finding of many places': [
    gltfAsset('mule.gltf', [listingFinding(1200)]),
    glbAsset('heron.glb', [listingFinding(3), listingFinding(3)]),
  ],
  'rules that failed': [
    { ...glbAsset('heron.glb'), failed: failedRules(hostile) },
    { ...glbAsset('mule.glb'), rigs: [], failed: failedRules(hostile, null) },
  ],
  'hostile names': [
    {
      ...glbAsset(
        'heron.glb',
        hostile.map((name) =>
          sampleFinding({ message: `"${name}" is rolled.`, place: { name, path: name } }),
        ),
      ),
      rigs: hostile.map((name) => ({ ...sampleRig(hostile), name })),
    },
  ],
  'hostile words': [
    ...hostile.map((name, index) => unreadableAsset(`${index}.glb`, name, name)),
    glbAsset(
      'heron.glb',
      hostile.map((name) => sampleFinding({ waived: { by: name, why: name, until: null } })),
    ),
  ],
  'hostile paths': [
    '100% heron.glb',
    'the wagon/héron 鷺.glb',
    'mule:left#1?.glb',
    'half\ud83c.glb',
    '../store/mule.glb',
    '/elsewhere/mule.glb',
    `${'n'.repeat(10_000)}.glb`,
  ].map((path) => glbAsset(path, [sampleFinding()])),
  'standard input': [glbAsset('-', [sampleFinding()])],
  'a waived finding': [
    glbAsset('heron.glb', [
      sampleFinding({ waived: { by: 'props', why: 'a crank', until: null } }),
      sampleFinding(),
    ]),
  ],
  'a file given twice': [glbAsset('heron.glb', findingsEverywhere()), glbAsset('./heron.glb')],
  'rigs that are alike': [{ ...glbAsset('heron.glb'), rigs: [sampleRig(), sampleRig()] }],
  'measures without an end': [
    glbAsset('heron.glb', [sampleFinding({ measured: Number.POSITIVE_INFINITY, limit: null })]),
  ],
  'all at once': [
    unreadableAsset('beetle.glb', 'the file is empty', null),
    glbAsset('heron.glb', findingsEverywhere()),
    gltfAsset('mule.gltf', findingsEverywhere()),
  ],
};

const CONTROL = /[\p{Cc}\p{Cs}\u2028\u2029\u202a-\u202e\u2066-\u2069]/u;

const TABLE = Object.entries(CASES).flatMap(([name, assets]) =>
  (['standard', 'code-scanning'] as const).map((target) => ({ name, target, assets })),
);

describe.each(TABLE)('a log of $name for $target', ({ assets, target }) => {
  const text = writeSarif(sampleReport(assets), SAMPLE_RULES, sarifOptions({ target }));
  // The schema test below holds the text to this type.
  const log = JSON.parse(text) as Log;
  const [run] = log.runs;
  if (run === undefined) throw new Error('the log has no run');
  const results = run.results ?? [];

  test('fits the schema', () => {
    expect(schemaFaults(log)).toEqual([]);
  });

  test('keeps to what the schema cannot say', () => {
    expect(textFaults(run, target)).toEqual([]);
  });

  test('gives every result one place, a fingerprint and a message of a length services take', () => {
    const odd = results.filter(
      (result) =>
        result.locations?.length !== 1 ||
        Object.keys(result.partialFingerprints ?? {}).length !== 1 ||
        (result.message.text?.length ?? Number.POSITIVE_INFINITY) > 2048 ||
        CONTROL.test(result.message.text ?? ''),
    );
    expect(odd).toEqual([]);
  });

  test('shows no control that would turn or hide what is read', () => {
    expect(text).not.toMatch(/[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/);
    const names = (run.logicalLocations ?? []).map((at) => `${at.name}${at.fullyQualifiedName}`);
    expect(names.filter((name) => CONTROL.test(name))).toEqual([]);
  });
});

const ENDS: Readonly<Record<string, Partial<Report>>> = {
  'a run that was stopped': { partial: { checked: 9, of: 400 } },
  'waivers that need a look': { ledger: SAMPLE_LEDGER },
  'a stopped run with such waivers': { partial: { checked: 0, of: 1 }, ledger: SAMPLE_LEDGER },
  'waivers of hostile words': {
    ledger: {
      ...SAMPLE_LEDGER,
      expired: [],
      unmatched: hostile.map((name) => ({
        ...{ rule: 'axis.up', asset: name, joint: name, others: 0, line: 1, why: name, by: name },
        until: null,
      })),
    },
  },
  'a ledger elsewhere': { ledger: { ...SAMPLE_LEDGER, path: '../the house/100%.json' } },
  'a ledger at an absolute path': { ledger: { ...SAMPLE_LEDGER, path: '/theatre/house.json' } },
  'a ledger of one letter': { ledger: { ...SAMPLE_LEDGER, path: '-' } },
};

describe.each(
  Object.entries(ENDS).flatMap(([name, end]) =>
    (['standard', 'code-scanning'] as const).map((target) => ({ name, end, target })),
  ),
)('a log of $name for $target', ({ end, target }) => {
  const assets = [glbAsset('heron.glb', [sampleFinding()]), gltfAsset('mule.gltf')];
  const report = { ...sampleReport(assets), ...end };
  const text = writeSarif(report, SAMPLE_RULES, sarifOptions({ target }));
  // The schema test below holds the text to this type.
  const log = JSON.parse(text) as Log;

  test('fits the schema, and the text of the standard', () => {
    expect(schemaFaults(log)).toEqual([]);
    expect(log.runs.flatMap((run) => textFaults(run, target))).toEqual([]);
  });

  test('tells each in a notification that the tool describes', () => {
    const [run] = log.runs;
    const told = run?.invocations?.[0]?.toolExecutionNotifications ?? [];
    const { ledger, partial } = report;
    const waivers = ledger === null ? 0 : ledger.expired.length + ledger.unmatched.length;
    expect(told).toHaveLength(waivers + (partial === null ? 0 : 1));
    const described = run?.tool.driver.notifications ?? [];
    for (const { descriptor } of told)
      expect(described[descriptor?.index ?? -1]?.id).toBe(descriptor?.id ?? 'none');
  });
});

const HOSTED = TABLE.filter(({ target }) => target === 'code-scanning');

test.each(HOSTED)('services get a line for each result of $name, and faults only', (hosted) => {
  const { assets, target } = hosted;
  const text = writeSarif(sampleReport(assets), SAMPLE_RULES, sarifOptions({ target }));
  // Each log of the table fits the schema, as the tests above see to.
  const results = (JSON.parse(text) as Log).runs.flatMap((run) => run.results ?? []);
  const faults = assets.flatMap((asset) => [
    ...asset.findings.filter((finding) => finding.waived === undefined),
    ...(asset.unreadable === null ? [] : [asset.unreadable]),
  ]);
  expect(results).toHaveLength(faults.length);
  const odd = results.filter(
    ({ kind, suppressions, locations }) =>
      kind !== undefined ||
      suppressions?.length !== 0 ||
      locations?.[0]?.physicalLocation?.region?.startLine === undefined,
  );
  expect(odd).toEqual([]);
});

describe('the checks themselves', () => {
  const [sound] = (
    JSON.parse(
      writeSarif(sampleReport(CASES['all at once'] ?? []), SAMPLE_RULES, sarifOptions()),
    ) as Log
  ).runs;
  if (sound === undefined) throw new Error('the log has no run');
  const [result, second] = sound.results ?? [];
  const [graph] = sound.graphs ?? [];
  if (result === undefined || second === undefined || graph === undefined)
    throw new Error('the log has no results');
  const withResult = (change: Partial<Result>): Run => ({
    ...sound,
    results: [{ ...result, ...change }, second],
  });
  const withGraph = (change: Partial<Graph>): Run => ({
    ...sound,
    graphs: [{ ...graph, ...change }],
  });
  const at = (uri: string, index: number, region = {}): Partial<Result> => ({
    locations: [{ physicalLocation: { artifactLocation: { uri, index }, region } }],
  });

  test.each([
    ['a level for a kind that is no fault', withResult({ kind: 'notApplicable' }), '3.27.10'],
    ['no level for a fault', withResult({ level: 'none' }), '3.27.10'],
    [
      'a rank for a kind that is no fault',
      withResult({ kind: 'pass', level: 'none', rank: 3 }),
      '3.27.25',
    ],
    ['a rule index past the rules', withResult({ ruleIndex: 99 }), '3.27.6'],
    ['a rule index of another rule', withResult({ ruleIndex: 0 }), '3.27.6'],
    ['a line in a binary file', withResult(at('heron.glb', 1, { startLine: 1 })), '3.30.1'],
    ['a region of nothing', withResult(at('heron.glb', 1, { endLine: 1 })), '3.30.1'],
    [
      'bytes past the end',
      withResult(at('heron.glb', 1, { byteOffset: 48_000, byteLength: 121 })),
      '3.30.12',
    ],
    ['an artifact that is not there', withResult(at('heron.glb', 99)), '3.4.5'],
    ['an artifact of another name', withResult(at('mule.glb', 1)), '3.4.2'],
    ['an absolute path', withResult(at('/heron.glb', 1)), '3.4.3'],
    ['a scheme', withResult(at('file:///heron.glb', 1)), '3.4.3'],
    ['an address with a space', withResult(at('the heron.glb', 1)), '3.4.3'],
    ['an address with a bare percent', withResult(at('100%heron.glb', 1)), '3.4.3'],
    [
      'one suppressed result without a list for the others',
      { ...sound, results: [{ ...result, suppressions: undefined }, second] },
      '3.27.23',
    ],
    [
      'a parent that is not there',
      { ...sound, artifacts: [...(sound.artifacts ?? []), { parentIndex: 99, offset: 0 }] },
      '3.24.3',
    ],
    [
      'a file without a place',
      { ...sound, artifacts: [...(sound.artifacts ?? []), { length: 3 }] },
      '3.24.2',
    ],
    [
      'two nodes of one id',
      withGraph({ nodes: [...(graph.nodes ?? []), ...(graph.nodes ?? [])] }),
      '3.40.2',
    ],
    [
      'a nested node of a known id',
      withGraph({ nodes: [...(graph.nodes ?? []), { id: 'x', children: [{ id: 'joint-0' }] }] }),
      '3.40.2',
    ],
    [
      'two edges of one id',
      withGraph({ edges: [...(graph.edges ?? []), ...(graph.edges ?? [])] }),
      '3.41.2',
    ],
    [
      'an edge from nowhere',
      withGraph({ edges: [{ id: 'x', sourceNodeId: 'nowhere', targetNodeId: 'joint-0' }] }),
      '3.41.4',
    ],
    [
      'an edge to nowhere',
      withGraph({ edges: [{ id: 'x', sourceNodeId: 'joint-0', targetNodeId: 'nowhere' }] }),
      '3.41.5',
    ],
    [
      'a logical location that is not there',
      withResult({ locations: [{ logicalLocations: [{ index: 9999 }] }] }),
      '3.33.3',
    ],
    [
      'a logical location of another name',
      withResult({ locations: [{ logicalLocations: [{ index: 0, name: 'tail' }] }] }),
      '3.33.3',
    ],
    ['a placeholder', withResult({ message: { text: 'rolled {0}' } }), '3.11.5'],
    ['a link', withResult({ message: { text: 'see [here](1)' } }), '3.11.6'],
    [
      'an error beside success',
      { ...sound, invocations: [{ ...sound.invocations?.[0], executionSuccessful: true }] },
      '3.20.14',
    ],
    ['columns without their kind', { ...sound, columnKind: undefined }, '3.14.27'],
  ] satisfies [string, Run, string][])('find %s', (_, run, section) => {
    expect(textFaults(run, 'standard').map((fault) => fault.split(' ')[0])).toContain(section);
  });

  test('find a kind of columns where no text was read', () => {
    const run: Run = { ...sound, artifacts: [], columnKind: 'utf16CodeUnits' };
    expect(textFaults(run, 'standard').join()).toContain('3.14.27');
  });

  test('find nothing in the log that they were changed from', () => {
    expect(textFaults(sound, 'standard')).toEqual([]);
    expect(schemaFaults({ version: '2.1.0', runs: [{ ...sound, extra: 1 }] })).toHaveLength(1);
  });
});
