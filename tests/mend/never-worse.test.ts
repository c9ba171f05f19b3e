import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendOptions, mendAsset } from '../../src/mend/mend-asset.js';
import type { Repair } from '../../src/mend/repair.js';
import { tempFolder } from '../support/temp-folder.js';
import { turnFrames } from './turn-frames.js';

const settings = defaultSettings(rules);

/** Two joints without a name, each an end of its own leg. */
function nameless(): Uint8Array {
  const puppet = raisePuppet('heron');
  puppet.edits.push((json) => {
    for (const node of json.nodes)
      if (node.name === 'shin_L' || node.name === 'shin_R') delete node.name;
  });
  return mainFile(buildPuppet(puppet));
}

/** Names what has no name, and turns the frame of the left shin out of its segment with it. */
const careless: Repair = {
  name: 'careless',
  tells: '',
  rules: ['name.missing'],
  mend({ edit, model, findings }) {
    const joints = findings.flatMap(({ places }) => places);
    const changes = joints.map(({ node, path }) => {
      const parent = edit.json.nodes?.[model.nodes.parent[node ?? -1] ?? -1]?.name ?? '';
      Object.assign(edit.json.nodes?.[node ?? -1] ?? {}, { name: parent.replace('thigh', 'shin') });
      if (parent === 'thigh_L')
        turnFrames({ edit, model }, new Map([[node ?? -1, [0, Math.SQRT1_2, 0, Math.SQRT1_2]]]));
      return { rule: 'name.missing', place: path, before: 'without a name', after: 'named' };
    });
    return { changes, left: [] };
  },
};

function mend(options: MendOptions = {}) {
  const path = join(tempFolder({ 'heron.glb': nameless() }), 'heron.glb');
  return mendAsset(path, settings, [careless], options);
}

describe('a mend that would bring up a finding', () => {
  it('is not made there, with why, and made elsewhere', async () => {
    const { before, after, changes, left, offending } = await mend();
    expect(before.findings.map(({ rule }) => rule)).toEqual(['name.missing']);
    expect(before.findings[0]?.places).toHaveLength(2);
    expect(offending).toBeNull();
    expect(changes.map(({ place }) => place)).toEqual([expect.stringContaining('thigh_R')]);
    expect(after.findings.map(({ rule, places }) => [rule, places.length])).toEqual([
      ['name.missing', 1],
    ]);
    expect(left).toEqual([
      {
        rule: 'name.missing',
        place: expect.stringContaining('thigh_L'),
        why: expect.stringMatching(
          /^a mend of it would bring up axis\.up \(error\) at .*shin_L; to mend it nevertheless, add --also name\.missing$/,
        ),
      },
    ]);
  });

  it('is made where it is asked for by its rule', async () => {
    const { after, changes, left } = await mend({ also: ['name.missing'] });
    expect([changes.length, left]).toEqual([2, []]);
    expect(after.findings.map(({ rule }) => rule)).toContain('axis.up');
  });

  it('is not made where only its rule is to be mended', async () => {
    const { after } = await mend({ only: ['name.missing'] });
    expect(after.findings.map(({ rule }) => rule)).toEqual(['name.missing']);
  });

  it('is made where what it brings up is waived', async () => {
    const { changes, left } = await mend({
      judge: (report) => ({
        ...report,
        findings: report.findings.map((finding) =>
          finding.rule.startsWith('axis')
            ? { ...finding, waived: { why: 'a stage leg', by: 'rigging', until: null } }
            : finding,
        ),
      }),
    });
    expect([changes.length, left]).toEqual([2, []]);
  });
});

describe('a mend that is only made when asked', () => {
  const bold: Repair = { ...careless, isBold: true };
  const run = (options: MendOptions) => {
    const path = join(tempFolder({ 'heron.glb': nameless() }), 'heron.glb');
    return mendAsset(path, settings, [bold], options);
  };

  it('is left alone, and says how it can be had', async () => {
    const { changes, left } = await run({});
    expect(changes).toEqual([]);
    expect(left.map(({ why }) => why)).toEqual([
      expect.stringMatching(/only done when asked; add --also name\.missing$/),
    ]);
  });

  it.each([{ also: ['name.missing'] }, { only: ['name.missing'] }])('%o asks', async (options) => {
    expect((await run(options)).changes).toHaveLength(2);
  });

  it('is not asked for by what is skipped', async () => {
    const { changes, left } = await run({ also: ['name.missing'], skip: ['name.missing'] });
    expect([changes, left]).toEqual([[], []]);
  });
});
