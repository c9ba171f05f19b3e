import { describe, expect, test } from 'vitest';
import { glbAsset, sampleFinding, sampleRig } from './sample-report.js';
import { faultsOf, runOf } from './sample-run.js';

describe('the joint tree', () => {
  test('is a graph of the rig, an edge from each parent to its child', () => {
    const [graph] = runOf([glbAsset('heron.glb', [sampleFinding()])]).graphs ?? [];
    expect(graph?.nodes?.map((node) => [node.id, node.label?.text])).toEqual([
      ['joint-0', 'body'],
      ['joint-1', 'neck'],
      ['joint-2', 'beak'],
    ]);
    expect(graph?.edges?.map((edge) => [edge.sourceNodeId, edge.targetNodeId])).toEqual([
      ['joint-0', 'joint-1'],
      ['joint-1', 'joint-2'],
    ]);
  });

  test('leads each node to the logical location of its joint', () => {
    const run = runOf([glbAsset('heron.glb', [sampleFinding()])]);
    const beak = run.graphs?.[0]?.nodes?.[2]?.location?.logicalLocations?.[0]?.index ?? -1;
    expect(run.logicalLocations?.[beak]?.fullyQualifiedName).toBe('body/neck/beak');
    expect(faultsOf(run)[0]?.locations?.[0]?.logicalLocations?.[0]?.index).toBe(beak);
  });

  test('is left out where the asset has no finding, and from services where none is shown', () => {
    const waived = sampleFinding({ waived: { by: 'props', why: 'a crank', until: null } });
    const assets = [
      glbAsset('heron.glb', [sampleFinding()]),
      glbAsset('mule.glb'),
      glbAsset('beetle.glb', [waived]),
    ];
    const shown = (target: 'standard' | 'code-scanning') =>
      runOf(assets, { target }).graphs?.map(({ properties }) => properties?.asset);
    expect(shown('standard')).toEqual(['heron.glb', 'beetle.glb']);
    expect(shown('code-scanning')).toEqual(['heron.glb']);
  });

  test('of a chain of two thousand joints, whose paths are long, is quickly made', {
    timeout: 60_000,
  }, () => {
    const rig = sampleRig(Array.from({ length: 2_000 }, (_, index) => `s${index}`));
    const start = performance.now();
    const run = runOf([{ ...glbAsset('caterpillar.glb', [sampleFinding()]), rigs: [rig] }]);
    expect(run.graphs?.[0]?.nodes).toHaveLength(2_000);
    // Building every path from its first joint takes over a minute.
    expect(performance.now() - start).toBeLessThan(10_000);
  });
});
