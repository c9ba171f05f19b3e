import { Ajv } from 'ajv';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { assetSchema, reportSchema } from '../../src/report/report-schema.js';
import { schemaTest } from '../../src/report/schema-test.js';
import { checkBuilt } from '../support/check-built.js';

// Source: JSON Schema draft-07 as Ajv reads it, the checker that reports from files go through.

const general = new Ajv({ strict: false }).compile(assetSchema);
const own = schemaTest(assetSchema);

const sample: unknown = JSON.parse(
  JSON.stringify(await checkBuilt(build('heron', { faults: [faultNamed('flipped-shin')] }))),
);

/** What stands in place of a value: of every type, in and out of bounds. */
const strange = fc.constantFrom<unknown>(
  null,
  true,
  '',
  'error',
  'judged',
  'point',
  -2,
  -1,
  0,
  0.5,
  1e300,
  [],
  [0, 0, 0],
  [0, 0, 0, 0],
  [null, 'x', 0],
  {},
  { kind: 'point', label: 'knee', at: [0, 1, 2] },
);

/** A copy with the value at the end of a way replaced, removed or added to. */
function mutated(value: unknown, way: readonly number[], how: number, by: unknown): unknown {
  if (typeof value !== 'object' || value === null || way.length === 0) return by;
  const [step = 0, ...rest] = way;
  const keys = Object.keys(value);
  const key = keys[step % Math.max(1, keys.length)] ?? 'none';
  const copy: Record<string, unknown> = { ...value };
  if (rest.length > 0) copy[key] = mutated(copy[key], rest, how, by);
  else if (how === 0) copy[key] = by;
  else if (how === 1) delete copy[key];
  else copy[`${key} more`] = by;
  return Array.isArray(value) ? Object.values(copy) : copy;
}

describe('the test of a schema', () => {
  it('agrees with the general checker on reports with one thing changed', () => {
    const seen = { fits: 0, not: 0 };
    fc.assert(
      fc.property(
        fc.array(fc.nat({ max: 200 }), { minLength: 1, maxLength: 7 }),
        fc.nat({ max: 2 }),
        strange,
        (way, how, by) => {
          const value = mutated(sample, way, how, by);
          const fits = own(value);
          expect(fits).toBe(general(value));
          seen[fits ? 'fits' : 'not']++;
        },
      ),
      { seed: 20261128, numRuns: 2000 },
    );
    expect(own(sample)).toBe(true);
    expect(Math.min(seen.fits, seen.not)).toBeGreaterThan(50);
  });

  it('knows every keyword of the schema of reports, and refuses one that it does not', () => {
    expect(() => schemaTest(reportSchema)).not.toThrow();
    expect(() => schemaTest({ type: 'string', pattern: '^l' })).toThrow('keyword pattern');
  });
});
