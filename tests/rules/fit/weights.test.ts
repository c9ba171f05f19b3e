import { describe, expect, test } from 'vitest';
import { editInfluences, shareSkin } from '../../../fixtures/kit/changes.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { BuildOptions } from '../../../fixtures/kit/options.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import type { AssetReport } from '../../../src/report/report-types.js';
import { changed, checkBeside, soundAsset } from '../../support/beside-approved.js';
import { withLimit } from '../../support/findings-of.js';

function toldBy({ findings }: AssetReport) {
  return findings.filter(({ rule }) => rule === 'fit.weights');
}

async function mule(change: (puppet: Puppet) => void, options: BuildOptions = {}, limits = {}) {
  return checkBeside(changed('mule', change, options), await soundAsset('mule'), limits);
}

/** Gives a share of some vertices of the neck to the joint above it. */
const repaint =
  (vertices: number, share: number) =>
  (puppet: Puppet): void =>
    editInfluences(puppet, 'neck_high', vertices, (): Influence[] => [
      ['neck_high', 1 - share],
      ['neck_low', share],
    ]);

describe('other weights on the approved mesh', () => {
  test('are noted once a mesh, with how many vertices and by how much', async () => {
    const [told, ...more] = toldBy(await mule(repaint(7, 0.04)));
    expect(more).toEqual([]);
    expect(told).toMatchObject({
      level: 'note',
      place: { kind: 'mesh', name: 'mule_hide' },
      limit: 1,
      unit: '%',
      counts: { looked: 1954, short: 7 },
    });
    expect(told?.measured).toBeCloseTo(4, 2);
    expect(told?.vertices).toHaveLength(3);
    expect(told?.message).toMatch(
      /^7 of 1954 vertices of "mule_hide" have other weights than in the approved rig, by up to 4 % \(limit 1 %\): on "neck_(low|high)" \(7 vertices\); see vertices /,
    );
  });

  test('within the limit are none', async () => {
    expect(toldBy(await mule(repaint(7, 0.009)))).toEqual([]);
    const strict = withLimit('fit.weights', { differ: 0.5 });
    expect(toldBy(await mule(repaint(7, 0.009), {}, strict))).toHaveLength(1);
  });

  test.each([
    ['8-bit weights', { weights: 'u8' }],
    ['quantised positions', { positions: 'quantised' }],
    ['another unit', { unitScale: 1.5 }],
  ] as const)('are not made by storing %s', async (_, options) => {
    const report = await mule(() => {}, options);
    expect(toldBy(report)).toEqual([]);
    expect(report.rigs[0]?.measured).toContainEqual({
      rule: 'fit.weights',
      kind: 'judged',
      looked: 1954,
      short: 0,
      elsewhere: 0,
      of: 'vertices',
    });
    expect(toldBy(await mule(repaint(7, 0.04), options))).toHaveLength(1);
  });

  test('are not looked for on another mesh', async () => {
    const report = await mule(repaint(7, 0.04), { flesh: 'connected' });
    expect(report.rigs[0]?.measured).toContainEqual({
      rule: 'fit.weights',
      kind: 'not applicable',
      because: 'no mesh has the vertices of an approved one',
    });
  });

  test('follow the joint, not its name', async () => {
    const report = await mule((puppet) => {
      puppet.joint('ear_L').label = 'ear_R';
      puppet.joint('ear_R').label = 'ear_L';
      puppet.joint('neck_high').label = 'nape';
    });
    expect(toldBy(report)).toEqual([]);
  });

  test('are left to the joint that is one too many, where it moves them', async () => {
    const report = await mule((puppet) => {
      const { position, rotation } = puppet.joint('neck_high');
      puppet.joints.push({
        name: 'mane',
        parent: 'neck_high',
        position: [position[0], position[1] + 0.05, position[2]],
        rotation,
        scale: [1, 1, 1],
        weighted: true,
        listed: true,
      });
      shareSkin(puppet, 'neck_high', 'mane');
    });
    expect(toldBy(report)).toEqual([]);
    expect(report.findings.map(({ rule }) => rule)).toContain('fit.extra');
  });

  test('are told by what clips show of them, where that is too much', async () => {
    const report = await mule((puppet) => {
      for (const part of puppet.parts)
        part.influences = part.influences.map((list): Influence[] =>
          list.map(([joint, weight]) => [joint === 'fore_cannon_L' ? 'trunk' : joint, weight]),
        );
    });
    expect(toldBy(report)).toEqual([]);
    const told = report.findings.find(({ rule }) => rule === 'fit.play');
    expect(told?.unit).toBe('% of size');
    expect(told?.message).toContain('shows the skin on ');
    expect(told?.consequences).toEqual([
      expect.stringMatching(/^The weights of \d+ vertices differ from the approved ones\.$/),
    ]);
  });
});
