import { describe, expect, test } from 'vitest';
import type { AssetReport } from '../../src/report/report-types.js';
import type { SarifOptions } from '../../src/report/sarif.js';
import { glbAsset, HOSTILE_NAMES, sampleFinding } from './sample-report.js';
import { faultsOf, runOf } from './sample-run.js';

describe('the message of a result', () => {
  test('says measure, consequences and remedy, the remedy once', () => {
    const textOf = (change: Parameters<typeof sampleFinding>[0]) =>
      faultsOf(runOf([glbAsset('heron.glb', [sampleFinding(change)])]))[0]?.message.text;
    const parts = {
      message: 'Rolled 92.4°.',
      remedy: 'Turn it.',
      consequences: ['It curls askew.'],
    };
    expect(textOf(parts)).toBe('Rolled 92.4°. It curls askew. Turn it.');
    expect(textOf({ ...parts, message: 'Rolled 92.4°. Turn it.', consequences: [] })).toBe(
      'Rolled 92.4°. Turn it.',
    );
  });

  test.each(Object.entries(HOSTILE_NAMES))(
    'shows %s without a control, a placeholder or a link',
    (_, name) => {
      const message = `"${name}" is rolled 92.4°.`;
      const asset = glbAsset('heron.glb', [sampleFinding({ message })]);
      const text = faultsOf(runOf([asset]))[0]?.message.text ?? '';
      expect(text).not.toMatch(/[\p{Cc}\p{Cs}\u2028\u2029\u202a-\u202e]/u);
      expect(text.replaceAll('{{', '').replaceAll('}}', '')).not.toMatch(/[{}]/);
      expect(text).not.toContain('](');
      expect(text.length).toBeLessThanOrEqual(2048);
      expect(text.startsWith('"')).toBe(true);
      expect(text.endsWith('Turn its frame so that its up axis follows that of "neck".')).toBe(
        true,
      );
    },
  );
});

describe('fingerprints', () => {
  const prints = (assets: readonly AssetReport[], change: Partial<SarifOptions> = {}) =>
    faultsOf(runOf(assets, change)).map((r) => r.partialFingerprints?.['trysquareIdentity/v2']);

  test('are the identities of the findings, in every asset', () => {
    const findings = [sampleFinding(), sampleFinding({ identity: 'another' })];
    const asset = (path: string): AssetReport => glbAsset(path, findings);
    const two = findings.map(({ identity }) => identity);
    expect(prints([asset('a.glb'), asset('b.glb')])).toEqual([...two, ...two]);
  });

  test('stay when the finding before them is waived and left out', () => {
    const waived = sampleFinding({ waived: { by: 'props', why: 'a crank', until: null } });
    const asset = glbAsset('heron.glb', [waived, sampleFinding({ identity: 'another' })]);
    expect(prints([asset], { target: 'code-scanning' })).toEqual(['another']);
  });
});
