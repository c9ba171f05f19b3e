import { Ajv } from 'ajv';
import { expect, it, onTestFinished, vi } from 'vitest';
import { UsageError } from '../../src/asset/errors.js';
import { writeJson } from '../../src/report/json.js';
import { parseReport } from '../../src/report/read-report.js';
import { glbAsset, sampleReport } from './sample-report.js';

const text = writeJson(sampleReport([glbAsset('heron.glb')]));
const wrong = text.replace('"heron.glb"', '7');

it('the schema is compiled for the first report at most, and judges each that follows', () => {
  const compile = vi.spyOn(Ajv.prototype, 'compile');
  onTestFinished(() => compile.mockRestore());
  expect(parseReport(text, 'the report a.json').assets).toHaveLength(1);
  expect(() => parseReport(wrong, 'the report b.json')).toThrow(UsageError);
  expect(parseReport(text, 'the report c.json').assets).toHaveLength(1);
  // A test before this one may have read a report in the same process.
  expect(compile.mock.calls.length).toBeLessThanOrEqual(1);
});
