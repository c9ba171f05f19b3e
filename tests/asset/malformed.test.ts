import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Malformed, malformedAssets } from '../../fixtures/malformed.js';
import { rules } from '../../rules/index.js';
import { checkAsset } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';

/** A reason is one line of text: no longer than this, in characters. */
const LONGEST_REASON = 300;

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'lanterns-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

async function check(asset: Malformed): Promise<AssetReport> {
  for (const [name, bytes] of asset.files) writeFileSync(join(folder, name), bytes);
  return checkAsset(join(folder, asset.main), { settings: defaultSettings(rules) });
}

const assets = malformedAssets();
const broken = assets.filter((asset) => !asset.valid);
const strange = assets.filter((asset) => asset.valid);

describe.each(broken)('$name ($tells)', (asset) => {
  test('never passes as sound, and says why in one line when it cannot be read', async () => {
    const { verdict, unreadable, findings, rigs } = await check(asset);
    expect(['unsound', 'unreadable']).toContain(verdict);
    expect(unreadable !== null).toBe(verdict === 'unreadable');
    if (unreadable === null) {
      expect(findings.some((finding) => finding.level === 'error')).toBe(true);
      return;
    }
    expect([findings, rigs]).toEqual([[], []]);
    expectOneLine(unreadable.reason);
    if (unreadable.where !== null) expectOneLine(unreadable.where);
  });
});

describe.each(strange)('$name ($tells)', (asset) => {
  test('is read and judged', async () => {
    const { verdict, unreadable, rigs } = await check(asset);
    expect(unreadable).toBeNull();
    expect(['sound', 'unsound']).toContain(verdict);
    expect(rigs.map((rig) => rig.joints.length)).toEqual([21]);
  });
});

/** What is said of some of them: the reason has to name what is wrong, and the place where it is. */
test.each([
  ['empty', /the file is empty/, null],
  ['not-a-gltf', /not a glTF file/, 'byte 0'],
  ['wrong-magic', /not a glTF file/, 'byte 0'],
  ['glb-version-1', /version 1/, 'byte 4'],
  ['json-broken', /the JSON is broken/, /^line 1, column \d+$/],
  ['node-cycle-apart', /its own ancestor/, /^\/nodes\/\d+\/children$/],
  ['node-with-two-parents', /two parents/, /^\/nodes\/4\/children\/0$/],
  ['joint-past-the-nodes', /there is no node 9999/, '/skins/0/joints/2'],
  ['nan-position', /vertex 0 is NaN/, /vertex 0$/],
  ['sparse-index-past', /out of order or out of range/, '/accessors/0/sparse/indices'],
  ['view-past-its-buffer', /the buffer view needs/, '/bufferViews/0'],
  ['required-extension', /LANTERN_unknown_light/, '/extensionsRequired/0'],
] as const)('%s is told by its cause and place', async (name, reason, where) => {
  const asset = assets.find((item) => item.name === name);
  if (asset === undefined) throw new Error(`no ${name}`);
  const { unreadable } = await check(asset);
  expect(unreadable?.reason).toMatch(reason);
  if (where instanceof RegExp) expect(unreadable?.where).toMatch(where);
  else expect(unreadable?.where).toBe(where);
});

test('a file that is not there, and a folder, are unreadable', async () => {
  const settings = defaultSettings(rules);
  const missing = await checkAsset(join(folder, 'nowhere.glb'), { settings });
  const directory = await checkAsset(folder, { settings });
  expect([missing.unreadable?.reason, directory.unreadable?.reason]).toEqual([
    'there is no such file',
    'it is a folder',
  ]);
});

function expectOneLine(text: string): void {
  expect(text.length).toBeGreaterThan(0);
  expect(text.length).toBeLessThan(LONGEST_REASON);
  expect(text).not.toMatch(/[\r\n]/);
  // Frames of a stack, and names that the language gives to its own mistakes.
  expect(text).not.toMatch(
    /\bat .*:\d+:\d+|\b(Type|Range|Reference|Syntax)Error\b|undefined|\[object/,
  );
}
