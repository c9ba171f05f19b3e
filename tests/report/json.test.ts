// Source: JSON Schema draft-07, by ajv, whose strict mode also refuses a schema that says nothing.
import { Ajv } from 'ajv';
import { describe, expect, test } from 'vitest';
import { writeJson } from '../../src/report/json.js';
import { reportSchema } from '../../src/report/report-schema.js';
import type { Report } from '../../src/report/report-types.js';
import {
  failedRules,
  findingsEverywhere,
  glbAsset,
  gltfAsset,
  HOSTILE_NAMES,
  sampleFinding,
  sampleReport,
  unreadableAsset,
} from './sample-report.js';

const validate = new Ajv({ allErrors: true, allowUnionTypes: true }).compile(reportSchema);

function faultsOf(document: unknown): readonly string[] {
  validate(document);
  return (validate.errors ?? []).map((error) => `${error.instancePath} ${error.message}`);
}

const full = sampleReport([
  glbAsset('heron.glb', [
    ...findingsEverywhere(),
    sampleFinding({
      counts: { looked: 220, short: 3 },
      vertices: [4, 9, 11],
      consequences: ['Curling the neck leaves its plane.'],
      evidence: [
        { kind: 'point', label: 'beak', at: [0, 0.5, 0.25] },
        { kind: 'arrow', label: 'up axis', from: [0, 0.5, 0], along: [0, 0, 0.1] },
        {
          kind: 'line',
          label: 'neck',
          points: [
            [0, 0, 0],
            [0, 1, 0],
          ],
        },
      ],
      waived: { by: 'the prop room', why: 'The beak never bends', until: '2031-05-01' },
    }),
  ]),
  gltfAsset('mule.gltf'),
  { ...glbAsset('cart.glb'), failed: failedRules(['no wheel here']) },
  unreadableAsset('beetle.glb', 'the file is empty', null),
]);

describe('writeJson', () => {
  test('writes what the schema describes, for every kind of place, evidence and verdict', () => {
    expect(faultsOf(JSON.parse(writeJson(full)))).toEqual([]);
  });

  test('writes all of a report', () => {
    const { $schema, format, formatVersion, ...report } = JSON.parse(writeJson(full));
    expect(report).toEqual(full);
  });

  test('writes names of any letters so that they read back the same', () => {
    const findings = Object.values(HOSTILE_NAMES).map((name) =>
      sampleFinding({ place: { name, path: name } }),
    );
    const document = JSON.parse(writeJson(sampleReport([glbAsset('heron.glb', findings)])));
    expect(faultsOf(document)).toEqual([]);
    const names = document.assets[0].findings.map((f: { place: { name: string } }) => f.place.name);
    expect(names).toEqual(Object.values(HOSTILE_NAMES));
  });

  test('begins with what the format is, and ends with a newline', () => {
    expect(writeJson(sampleReport([]))).toMatchInlineSnapshot(`
      "{
        "$schema": "urn:trysquare:report:1",
        "format": "trysquare-report",
        "formatVersion": 1,
        "tool": {
          "name": "trysquare",
          "version": "0.1.0"
        },
        "failing": "error",
        "standard": null,
        "unit": "m",
        "families": [
          "root",
          "rest",
          "axis",
          "scale",
          "chain",
          "place",
          "skin",
          "motion",
          "name",
          "fit",
          "house",
          "file"
        ],
        "settings": "5a6e0c1b4f8d2e97a3c05b1d7f4e6a28",
        "part": null,
        "assets": [],
        "partial": null,
        "ledger": null,
        "totals": {
          "assets": 0,
          "verdicts": {
            "sound": 0,
            "unsound": 0,
            "unreadable": 0,
            "nothing to judge": 0
          },
          "counts": {
            "error": 0,
            "warning": 0,
            "note": 0
          }
        },
        "verdict": null
      }
      "
    `);
  });

  test('writes keys in the same order, whatever order the report was made in', () => {
    expect(writeJson(backwards(full))).toBe(writeJson(full));
  });

  test('leaves out what the format does not have', () => {
    const report = { ...full, tool: { ...full.tool, host: 'wagon' }, clock: 12 };
    expect(writeJson(report)).toBe(writeJson(full));
  });

  test('keeps nine significant digits of a measure and every digit of a whole number', () => {
    const asset = glbAsset('heron.glb', [
      sampleFinding({ measured: 92.400000123456, limit: -1.23456789012e-7 }),
    ]);
    if (asset.container === null) throw new Error('the sample was read');
    const large = { ...asset, container: { ...asset.container, bytes: 12_345_678_901 } };
    const { assets } = JSON.parse(writeJson(sampleReport([large])));
    expect(assets[0].findings[0]).toMatchObject({ measured: 92.4000001, limit: -1.23456789e-7 });
    expect(assets[0].container.bytes).toBe(12_345_678_901);
  });

  test('writes null for what is no finite number, and the schema allows it', () => {
    const report = sampleReport([
      glbAsset('heron.glb', [
        sampleFinding({
          measured: Number.NaN,
          limit: Number.POSITIVE_INFINITY,
          evidence: [{ kind: 'point', label: 'lost', at: [Number.NaN, 1, 2] }],
        }),
      ]),
    ]);
    const document = JSON.parse(writeJson(report));
    expect(document.assets[0].findings[0]).toMatchObject({
      measured: null,
      limit: null,
      evidence: [{ at: [null, 1, 2] }],
    });
    expect(faultsOf(document)).toEqual([]);
  });
});

describe('reportSchema', () => {
  test('describes every property and allows no other', () => {
    const records = recordsIn(reportSchema);
    expect(records.length).toBeGreaterThan(15);
    for (const record of records) {
      expect(record.additionalProperties).toBe(false);
      for (const [key, property] of record.properties)
        expect(property, key).toMatchObject({ description: expect.stringMatching(/^\S.+\.$/) });
    }
  });

  test.each([
    ['a property that is not there', { clock: 12 }, ' must NOT have additional properties'],
    [
      'another version of the format',
      { formatVersion: 2 },
      '/formatVersion must be equal to constant',
    ],
    [
      'a verdict of its own',
      { verdict: 'fine' },
      '/verdict must be equal to one of the allowed values',
    ],
  ])('refuses %s', (_, change, fault) => {
    const document = { ...JSON.parse(writeJson(full)), ...change };
    expect(faultsOf(document)).toEqual([fault]);
  });

  test('refuses a report that lacks any of its properties', () => {
    for (const key of Object.keys(JSON.parse(writeJson(full)))) {
      const { [key]: _, ...rest } = JSON.parse(writeJson(full));
      expect(faultsOf(rest)).toEqual([` must have required property '${key}'`]);
    }
  });
});

interface RecordSchema {
  readonly additionalProperties: unknown;
  readonly properties: readonly (readonly [string, unknown])[];
}

/** Every schema of an object with properties, however deep. */
function recordsIn(schema: unknown): RecordSchema[] {
  if (typeof schema !== 'object' || schema === null) return [];
  const within = Object.values(schema).flatMap(recordsIn);
  if (!('type' in schema) || schema.type !== 'object') return within;
  const properties = 'properties' in schema ? Object.entries(schema.properties ?? {}) : [];
  const additionalProperties =
    'additionalProperties' in schema ? schema.additionalProperties : undefined;
  return [{ additionalProperties, properties }, ...within];
}

/** The same report with the keys of every object turned round. */
function backwards(report: Report): Report {
  const turn = (value: unknown): unknown =>
    Array.isArray(value)
      ? value.map(turn)
      : typeof value === 'object' && value !== null
        ? Object.fromEntries(
            Object.entries(value)
              .reverse()
              .map(([key, item]) => [key, turn(item)]),
          )
        : value;
  // Only the order of keys has changed, which types do not see.
  return turn(report) as Report;
}
