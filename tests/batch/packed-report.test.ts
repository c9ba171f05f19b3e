import { deserialize, serialize } from 'node:v8';
import { describe, expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { packReport, unpackReport } from '../../src/batch/packed-report.js';
import { glbAsset, listingFinding } from '../report/sample-report.js';
import { checkBuilt } from '../support/check-built.js';

describe('a report on its way between processes', () => {
  it.each(castNames)('is the same at the other end: %s', async (name) => {
    const report = await checkBuilt(build(name));
    expect(report.rigs.length).toBeGreaterThan(0);
    expect(unpackReport(deserialize(serialize(packReport(report))))).toEqual(report);
  });

  it('keeps all that its findings list', () => {
    const report = glbAsset('heron.glb', [listingFinding(40)]);
    const { findings } = unpackReport(deserialize(serialize(packReport(report))));
    expect(findings[0]?.places).toHaveLength(41);
    expect(findings).toEqual(report.findings);
  });

  it('makes its joints once', async () => {
    const report = await checkBuilt(build('heron'));
    const [rig] = unpackReport(packReport(report)).rigs;
    expect(rig?.joints).toBe(rig?.joints);
  });
});
