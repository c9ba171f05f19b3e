import { describe, expect, test } from 'vitest';
import {
  findingsEverywhere,
  GLTF_TEXT,
  glbAsset,
  gltfAsset,
  sampleFinding,
} from './sample-report.js';
import { faultsOf, regionsOf, runOf } from './sample-run.js';

describe('the place of a result', () => {
  test('in a .gltf is the true line and column of the node', () => {
    const findings = [0, 1, 2, 3, 4].map((node) =>
      sampleFinding({ place: { node, pointer: `/nodes/${node}` } }),
    );
    const cut = regionsOf(runOf([gltfAsset('mule.gltf', findings)])).map((region) => {
      const lines = GLTF_TEXT.split('\n').slice((region?.startLine ?? 0) - 1, region?.endLine);
      const last = lines.length - 1;
      lines[last] = lines[last]?.slice(0, (region?.endColumn ?? 0) - 1) ?? '';
      lines[0] = lines[0]?.slice((region?.startColumn ?? 0) - 1) ?? '';
      return JSON.parse(lines.join('\n'));
    });
    expect(cut).toEqual(JSON.parse(GLTF_TEXT).nodes);
  });

  test('in a .gltf counts columns in UTF-16 code units, so that a lantern is two wide', () => {
    const finding = sampleFinding({ place: { node: 3, pointer: '/nodes/3' } });
    const line = GLTF_TEXT.split('\n').findIndex((text) => text.includes('feathers'));
    const column = GLTF_TEXT.split('\n')[line]?.indexOf('{ "name": "feathers"') ?? -1;
    const run = runOf([gltfAsset('mule.gltf', [finding])]);
    expect(regionsOf(run)[0]).toMatchObject({ startLine: line + 1, startColumn: column + 1 });
    expect(run.columnKind).toBe('utf16CodeUnits');
  });

  test.each([
    ['a byte order mark', (text: string) => `\ufeff${text}`],
    ['CR LF', (text: string) => text.replaceAll('\n', '\r\n')],
    ['CR', (text: string) => text.replaceAll('\n', '\r')],
  ])('in a .gltf with %s is the same line and column', (_, change) => {
    const asset = gltfAsset('mule.gltf', findingsEverywhere());
    const changed = runOf([asset], { textOf: () => change(GLTF_TEXT) });
    expect(regionsOf(changed)).toEqual(regionsOf(runOf([asset])));
    expect(changed.newlineSequences).toEqual(['\r\n', '\n', '\r']);
  });

  test('in a .gltf that repeats a key is where the last one is, which JSON readers keep', () => {
    const textOf = () => '{\n"nodes": [{}],\n"nodes":\n[{}]}';
    const finding = sampleFinding({ place: { node: 0, pointer: '/nodes/0' } });
    expect(regionsOf(runOf([gltfAsset('mule.gltf', [finding])], { textOf }))[0]).toMatchObject({
      startLine: 4,
      startColumn: 2,
    });
  });

  test('in a .gltf whose text has changed is the nearest value that is still there', () => {
    const textOf = () => '{\n "nodes": [] }';
    const run = runOf([gltfAsset('mule.gltf', [sampleFinding()])], { textOf });
    expect(regionsOf(run)[0]).toMatchObject({ startLine: 2, startColumn: 11, endColumn: 13 });
  });

  test('in a .gltf nested past any stack is its first line', () => {
    const textOf = () => '['.repeat(1_000_000);
    const run = runOf([gltfAsset('mule.gltf', [sampleFinding()])], { textOf });
    expect(regionsOf(run)).toEqual([{ startLine: 1, startColumn: 1 }]);
  });

  test('in a .glb is the bytes of its JSON, or for services a line for each node', () => {
    const asset = glbAsset('heron.glb', findingsEverywhere());
    const bytes = { byteOffset: 20, byteLength: 2316 };
    const standard = runOf([asset]);
    expect(regionsOf(standard)).toEqual(findingsEverywhere().map(() => bytes));
    expect(standard).not.toHaveProperty('columnKind');
    const hosted = runOf([asset], { target: 'code-scanning' });
    expect(regionsOf(hosted).map((region) => region?.startLine)).toEqual([5, 1, 4, 1, 1, 1]);
    for (const result of faultsOf(hosted)) expect(result.properties).toMatchObject(bytes);
  });

  test('has a line for services even where no text can be had', () => {
    const options = { target: 'code-scanning', textOf: () => null } as const;
    const asset = gltfAsset('mule.gltf', [sampleFinding()]);
    expect(regionsOf(runOf([asset], options))).toEqual([{ startLine: 1 }]);
    const standard = runOf([asset], { textOf: () => null });
    expect(regionsOf(standard)).toEqual([undefined]);
    // The checks did read the text, so the columns of the run have a kind (3.14.27).
    expect(standard.columnKind).toBe('utf16CodeUnits');
  });

  test('names the joint by its path and the node by its pointer, with every parent', () => {
    const run = runOf([glbAsset('heron.glb', [sampleFinding()])]);
    const [joint, pointer] = faultsOf(run)[0]?.locations?.[0]?.logicalLocations ?? [];
    expect(joint).toMatchObject({
      name: 'beak',
      kind: 'joint',
      fullyQualifiedName: 'body/neck/beak',
    });
    expect(pointer).toMatchObject({ name: '4', kind: 'object', fullyQualifiedName: '/nodes/4' });
    const climb = (index: number | undefined): (string | undefined)[] => {
      const at = run.logicalLocations?.[index ?? -1];
      return at === undefined ? [] : [at.fullyQualifiedName, ...climb(at.parentIndex)];
    };
    expect(climb(joint?.index)).toEqual(['body/neck/beak', 'body/neck', 'body']);
    expect(climb(pointer?.index)).toEqual(['/nodes/4', '/nodes']);
  });

  test('keeps a slash inside a name apart from the slashes of a path', () => {
    const place = { name: 'left/right', path: 'body/left\\/right' };
    const run = runOf([glbAsset('heron.glb', [sampleFinding({ place })])]);
    const [joint] = faultsOf(run)[0]?.locations?.[0]?.logicalLocations ?? [];
    expect(joint?.name).toBe('left\\/right');
    expect(run.logicalLocations?.[joint?.parentIndex ?? -1]?.fullyQualifiedName).toBe('body');
  });
});

test('a thousand findings on ten megabytes of text cost one reading of it', {
  timeout: 60_000,
}, () => {
  const nodes = Array.from({ length: 100_000 }, (_, i) => ({
    name: `segment ${i}`,
    rotation: [0, 0, 0, 1],
    children: [i + 1],
  }));
  const text = JSON.stringify({ nodes }, null, 1);
  expect(text.length).toBeGreaterThan(10_000_000);
  const findings = Array.from({ length: 1_000 }, (_, i) =>
    sampleFinding({ place: { node: i * 100, pointer: `/nodes/${i * 100}` } }),
  );
  let readings = 0;
  const textOf = () => {
    readings++;
    return text;
  };
  const start = performance.now();
  const regions = regionsOf(runOf([gltfAsset('caterpillar.gltf', findings)], { textOf }));
  const seconds = (performance.now() - start) / 1000;
  const lines = text.split('\n');
  regions.forEach((region, i) => {
    expect(lines[region?.startLine ?? 0]).toContain(`"segment ${i * 100}"`);
  });
  expect(readings).toBe(1);
  // One scan for each finding would take minutes.
  expect(seconds).toBeLessThan(15);
});
