import { describe, expect, test } from 'vitest';
import { GLTF_TEXT, glbAsset, gltfAsset, sampleFinding } from './sample-report.js';
import { faultsOf, runOf } from './sample-run.js';

describe('artifacts', () => {
  test('of a .glb are the file with its hash and length, and its JSON within', () => {
    expect(runOf([glbAsset('heron.glb')]).artifacts).toMatchInlineSnapshot(`
      [
        {
          "hashes": {
            "sha-256": "5f70bf18a086007016e948b04aed3b82103a36bea41755b6cddfaf10ace3c6ef",
          },
          "length": 48120,
          "location": {
            "uri": "heron.glb",
          },
          "mimeType": "model/gltf-binary",
          "roles": [
            "analysisTarget",
          ],
        },
        {
          "encoding": "UTF-8",
          "length": 2316,
          "mimeType": "model/gltf+json",
          "offset": 20,
          "parentIndex": 0,
        },
      ]
    `);
  });

  test('of a .gltf are the text alone', () => {
    expect(runOf([gltfAsset('mule.gltf')]).artifacts).toMatchObject([
      { location: { uri: 'mule.gltf' }, encoding: 'UTF-8', length: GLTF_TEXT.length },
    ]);
  });

  test('list a file given twice once', () => {
    const run = runOf([
      glbAsset('heron.glb', [sampleFinding()]),
      glbAsset('./heron.glb', [sampleFinding()]),
    ]);
    expect(run.artifacts).toHaveLength(2);
    expect(run.graphs).toHaveLength(1);
    expect(faultsOf(run)).toHaveLength(2);
  });

  test('say which one came by standard input', () => {
    const run = runOf([glbAsset('heron.glb'), glbAsset('-')]);
    expect(run.artifacts?.[2]?.roles).toEqual(['analysisTarget', 'standardStream']);
    expect(run.invocations?.[0]?.stdin).toEqual({ uri: 'stdin.glb', index: 2 });
  });
});
