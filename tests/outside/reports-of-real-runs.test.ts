// Sources: the OASIS SARIF 2.1.0 errata schema (draft-04) from npm `@microsoft/jest-sarif`, file
// `lib/schemas/sarif-2.1.0-rtm.5.json`, with the text of the standard for what it does not see; and
// for our own JSON the schema that `trysquare schema report` prints. What is validated here comes
// out of the command line: sound, faulty, unreadable and hostile files, both SARIF targets.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import AjvDraft04 from 'ajv-draft-04';
import addFormats from 'ajv-formats';
import type { Log } from 'sarif';
import { beforeAll, describe, expect, it } from 'vitest';
import { build, buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import { malformedAssets } from '../../fixtures/malformed.js';
import { reportSchema } from '../../src/report/report-schema.js';
import { textFaults } from '../report/sarif-text-faults.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder, writeFiles } from '../support/temp-folder.js';

const ajv = new AjvDraft04.default({ allErrors: true, strict: false, unicodeRegExp: false });
addFormats.default(ajv);
const schema: object = createRequire(import.meta.url)(
  '@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json',
);
const validateSarif = ajv.compile(schema);
const validateReport = new Ajv({ allErrors: true, strict: false }).compile(reportSchema);

const HOSTILE = [
  '</script><b>',
  'a"b\\c',
  '\u202egnik\u202c',
  'line\nbreak\u0007',
  '%2e%2e/',
  '__proto__',
  '',
];

/** Every kind of file in one folder: sound, each fault as `.gltf`, some as `.glb`, broken, hostile. */
function everything(): Record<string, Uint8Array> {
  const files: Record<string, Uint8Array> = { 'sound heron ü.glb': buildGlb('heron') };
  for (const [at, fault] of faults.entries()) {
    // A result in a GLB is one in a text without the line, so a quarter of them tells of all.
    if (at % 4 === 0) files[`glb/${fault.name}.glb`] = buildGlb(fault.puppet, { faults: [fault] });
    const text = build(fault.puppet, { faults: [fault], container: 'gltf-embedded' });
    files[`gltf/${fault.name}.gltf`] = mainFile(text);
  }
  for (const asset of malformedAssets()) {
    for (const [file, bytes] of asset.files) files[`broken/${asset.name}/${file}`] = bytes;
  }
  const puppet = raisePuppet('marionette', {
    faults: faults.filter((fault) => fault.name === 'bent-elbow'),
  });
  puppet.edits.push((json) => {
    json.nodes.forEach((node, at) => {
      node.name = HOSTILE[at % HOSTILE.length] ?? '';
    });
  });
  files['hostile.glb'] = mainFile(buildPuppet(puppet));
  return files;
}

/** The folder checked for each kind of SARIF, the JSON beside it; all is measured once. */
const runs = new Map<string, { code: number; sarif: string; json: string }>();
beforeAll(async () => {
  const cwd = mkdtempSync(join(tmpdir(), 'trysquare-'));
  try {
    writeFiles(cwd, everything());
    for (const target of ['standard', 'code-scanning']) {
      const outs = ['-o', `${target}.sarif`, '-o', `${target}.json`];
      const args = ['check', '.', '--sarif-for', target, '--cache', 'kept', ...outs];
      const { code } = await runCli(args, { cwd });
      const [sarif = '', json = ''] = ['sarif', 'json'].map((ending) =>
        readFileSync(join(cwd, `${target}.${ending}`), 'utf8'),
      );
      runs.set(target, { code, sarif, json });
    }
  } finally {
    rmSync(cwd, { recursive: true, force: true });
  }
}, 60_000);

describe('a run over everything', () => {
  it.each(['standard', 'code-scanning'] as const)('gives valid SARIF for %s', async (target) => {
    const { code, sarif = '' } = runs.get(target) ?? {};
    expect(code).toBe(3);
    const log = JSON.parse(sarif) as Log;
    validateSarif(log);
    expect(validateSarif.errors ?? []).toEqual([]);
    const [run] = log.runs;
    expect(run?.results?.length).toBeGreaterThan(1.25 * faults.length);
    expect(run === undefined ? ['no run'] : textFaults(run, target)).toEqual([]);
    const words = (run?.results ?? []).map((result) => result.message.text ?? '').join('');
    expect(words).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/);
  });

  it('gives JSON that keeps to its own schema', async () => {
    validateReport(JSON.parse(runs.get('standard')?.json ?? ''));
    expect((validateReport.errors ?? []).slice(0, 3)).toEqual([]);
  });
});

it('fingerprints survive a re-export that renumbers every node', async () => {
  const [fault] = faults.filter((item) => item.name === 'flipped-shin');
  if (fault === undefined) throw new Error('the fault is gone');
  const puppet = raisePuppet(fault.puppet, { faults: [fault] });
  const plain = mainFile(buildPuppet(puppet));
  puppet.edits.push((json) => {
    // A node put in front moves every index on by one.
    const shift = (index: number): number => index + 1;
    json.nodes.unshift({ name: 'lamp' });
    for (const node of json.nodes)
      if (node.children !== undefined) node.children = node.children.map(shift);
    for (const skin of json.skins ?? []) {
      skin.joints = skin.joints.map(shift);
      if (skin.skeleton !== undefined) skin.skeleton = shift(skin.skeleton);
    }
    for (const scene of json.scenes ?? []) scene.nodes = scene.nodes.map(shift);
    for (const clip of json.animations ?? []) {
      for (const channel of clip.channels) channel.target.node = shift(channel.target.node);
    }
  });
  const cwd = tempFolder({ 'plain.glb': plain, 'moved.glb': mainFile(buildPuppet(puppet)) });
  const { stdout } = await runCli(['check', '.', '--format', 'sarif'], { cwd });
  const results = (JSON.parse(stdout) as Log).runs[0]?.results ?? [];
  const of = (file: string) =>
    results
      .filter((result) => result.locations?.[0]?.physicalLocation?.artifactLocation?.uri === file)
      .map((result) => result.partialFingerprints);
  expect(of('plain.glb').length).toBeGreaterThan(0);
  expect(of('moved.glb')).toEqual(of('plain.glb'));
});
