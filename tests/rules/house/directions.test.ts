import { describe, expect, test } from 'vitest';
import { build, buildPuppet, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { Built } from '../../../fixtures/kit/options.js';
import { rules } from '../../../rules/index.js';
import { parseStandard } from '../../../src/standard/read-standard.js';
import { checkBuilt } from '../../support/check-built.js';
import { renameToNothing } from '../../support/vrm.js';

const check = async (built: Built, contract: object) => {
  const { settings } = parseStandard(JSON.stringify({ contract }), 'house.json', rules);
  const { findings, rigs } = await checkBuilt(built, settings);
  const measured = rigs.flatMap((rig) => rig.measured);
  return { findings: findings.filter(({ rule }) => rule.startsWith('house.')), measured };
};

const away = (degrees: number): Built =>
  build('heron', { faults: [{ fault: faultNamed('looks-away'), amount: degrees }] });

describe('the way that a rig faces', () => {
  test.each([
    ['+Z', 180, '-Z', 180],
    ['-Z', 0, '+Z', 180],
    ['+X', 0, '+Z', 90],
    ['+Z', 50, '+X', 50],
  ])('%s, with the rig turned by %d°: told as %s and %d°', async (facing, turn, faces, off) => {
    const { findings } = await check(away(turn), { facing });
    expect(findings.map(({ message }) => message)).toEqual([
      `By its left and right joints the rig faces ${faces}, ${off}° from the facing of the standard, ${facing} (limit 45°).`,
    ]);
    expect(findings[0]?.evidence).toHaveLength(2);
  });

  test.each([
    ['+Z', 40],
    ['-Z', 180],
    ['+X', 90],
  ])('%s is kept by a rig that is turned by %d°', async (facing, turn) => {
    expect((await check(away(turn), { facing })).findings).toEqual([]);
  });

  test('of a rig on its back is part of that finding', async () => {
    const back = build('mule', { faults: [faultNamed('on-its-back')] });
    const { findings } = await check(back, { vertical: '+Y', facing: '+Z' });
    expect(findings.map(({ rule, consequences }) => [rule, consequences])).toEqual([
      ['house.vertical', ['the rig faces +Y, where the standard asks for +Z']],
    ]);
    expect(findings[0]?.message).toMatch(
      /^The legs of the rig stand along -Z, \d[\d.]*° from the vertical of the standard, \+Y \(limit 45°\)\.$/,
    );
    // A house whose up is -Z takes it.
    expect((await check(back, { vertical: '-Z', facing: '+Y' })).findings).toEqual([]);
  });

  test('cannot be told without names or a mapping, nor what is up', async () => {
    const puppet = raisePuppet('marionette');
    renameToNothing(puppet);
    const { findings, measured } = await check(buildPuppet(puppet), {
      vertical: '+Y',
      facing: '-X',
    });
    expect(findings).toEqual([]);
    const told = measured.filter(({ rule }) => rule.startsWith('house.'));
    expect(told).toEqual([
      {
        rule: 'house.vertical',
        kind: 'not applicable',
        because: 'no two legs are told by names or by a VRM mapping',
      },
      {
        rule: 'house.facing',
        kind: 'not applicable',
        because: 'no names or VRM mapping tell left from right',
      },
    ]);
  });
});
