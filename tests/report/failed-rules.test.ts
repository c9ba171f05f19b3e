import Papa from 'papaparse';
import { expect, it } from 'vitest';
import { writeCsv } from '../../src/report/csv.js';
import { writeJunit } from '../../src/report/junit.js';
import { writeMarkdown } from '../../src/report/markdown.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { writeSarif } from '../../src/report/sarif.js';
import { readSuites } from './junit-reader.js';
import {
  failedRules,
  glbAsset,
  SAMPLE_RULES,
  sampleFinding,
  sampleReport,
  sampleRig,
  sarifOptions,
} from './sample-report.js';

const WORDS =
  'The rule prop.wheel-0 of no wheel failed: no wheel. It judged nothing; all other rules did.';

function reportOf(asset: AssetReport): Report {
  return sampleReport([{ ...asset, failed: failedRules(['no wheel']) }]);
}

const faulty = reportOf(glbAsset('heron.glb', [sampleFinding()]));

it('SARIF has a notification with the rule and the asset, and the run did not succeed', () => {
  const { runs } = JSON.parse(writeSarif(faulty, SAMPLE_RULES, sarifOptions({})));
  const [invocation] = runs[0].invocations;
  expect(invocation.executionSuccessful).toBe(false);
  expect(invocation.toolExecutionNotifications).toMatchObject([
    {
      descriptor: { id: 'rule.failed' },
      level: 'error',
      message: { text: WORDS },
      associatedRule: { id: 'prop.wheel-0' },
      locations: [{ physicalLocation: { artifactLocation: { uri: 'heron.glb' } } }],
    },
  ]);
  const { notifications } = runs[0].tool.driver;
  const [{ descriptor }] = invocation.toolExecutionNotifications;
  expect(notifications[descriptor.index].id).toBe('rule.failed');
  const sound = sampleReport([glbAsset('heron.glb', [sampleFinding()])]);
  const { results } = JSON.parse(writeSarif(sound, SAMPLE_RULES, sarifOptions({}))).runs[0];
  expect(runs[0].results).toEqual(results);
});

it('JUnit counts an error more, with a case for the rule', () => {
  const [suite] = readSuites(writeJunit(faulty));
  expect(suite?.attributes).toMatchObject({ errors: '1' });
  const [found] = suite?.cases.filter(({ children }) => 'error' in children) ?? [];
  expect(found?.name).toBe('prop.wheel-0');
  expect(JSON.stringify(found?.children)).toContain(WORDS);
});

it('CSV has a row more, with the words and no place', () => {
  const { data } = Papa.parse<Record<string, string>>(writeCsv(faulty).trim(), { header: true });
  expect(data).toHaveLength(2);
  expect(data[1]).toMatchObject({
    asset: 'heron.glb',
    rule: 'prop.wheel-0',
    message: WORDS,
    level: '',
    'place path': '',
  });
});

it('a comment lists it, sound asset or not, and counts what has no room', () => {
  for (const report of [faulty, reportOf(glbAsset('heron.glb'))])
    expect(writeMarkdown(report)).toContain(
      `- \`heron.glb\`: ${WORDS.replace('prop.wheel-0', '`prop.wheel-0`')}`,
    );
  const many = { ...glbAsset('heron.glb'), failed: failedRules(Array(500).fill('n'.repeat(200))) };
  const text = writeMarkdown(sampleReport([many]), { mostLetters: 20_000 });
  expect(text.length).toBeLessThanOrEqual(20_000);
  expect(text).toMatch(/Left out, to fit into a comment: \d+ rules that failed/);
});

it('the rig is named where there are several', () => {
  const two = {
    ...glbAsset('heron.glb'),
    rigs: [sampleRig(), { ...sampleRig(), index: 1, name: 'its shadow' }],
  };
  const text = writeCsv(sampleReport([{ ...two, failed: failedRules(['no wheel'], 1) }]));
  expect(text).toContain('failed on rig ""its shadow"": no wheel.');
});
