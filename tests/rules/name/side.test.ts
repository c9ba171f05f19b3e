import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import type { CastName } from '../../../fixtures/kit/fault.js';
import { otherSide } from '../../../fixtures/kit/frames.js';
import type { BuildOptions } from '../../../fixtures/kit/options.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { findingsOf } from '../../support/findings-of.js';

/** Names of some joints and all below them for the other side, on a character of the cast. */
async function swapped(character: CastName, tops: readonly string[], options: BuildOptions = {}) {
  const puppet = raisePuppet(character);
  const names = new Set(tops.flatMap((top) => puppet.below(top)));
  for (const name of names) puppet.joint(name).label = otherSide(name) ?? name;
  const { findings, measured } = await findingsOf(
    mainFile(buildPuppet(puppet, options)),
    'name.side',
  );
  return {
    told: findings.map(({ level, places }) => [level, places.length]),
    messages: findings.map(({ message }) => message),
    names: findings.flatMap(({ places }) => places.map(({ name }) => name)),
    short: measured.map((entry) => (entry.kind === 'judged' ? entry.short : null)),
  };
}

const limb = (name: string): string[] => [`${name}_L`, `${name}_R`];

describe('sides that are swapped within a body', () => {
  test('are an error for an arm, with all its joints', async () => {
    const said = await swapped('marionette', limb('collarbone'));
    expect(said.told).toEqual([['error', 32]]);
    // Legs are named as they stand.
    expect(said.messages[0]).toContain(
      'compared with the other limbs of the rig, whose left is at +X, such as "thigh_L"',
    );
    expect(said.short).toEqual([32]);
  });

  test('are told of the legs where it is those', async () => {
    const said = await swapped('marionette', limb('thigh'));
    expect(said.told).toEqual([['error', 8]]);
    expect(said.names).toContain('thigh_R');
    expect(said.names).not.toContain('collarbone_R');
  });

  test.each<[CastName, string, number]>([
    ['mule', 'foreleg', 8],
    ['stag-beetle', 'leg_middle', 0],
    ['heron', 'wing_1', 8],
  ])('are told on the %s: %s', async (character, name, count) => {
    const top = name === 'leg_middle' ? 'leg_middle_1' : name;
    const said = await swapped(character, limb(top));
    expect(said.told).toEqual([['error', count === 0 ? 8 : count]]);
  });

  test('are a warning for a pair of ears, held against limbs', async () => {
    expect((await swapped('mule', limb('ear'))).told).toEqual([['warning', 4]]);
  });

  test('are a warning where a thumb hangs on the other hand, or a hand on the other arm', async () => {
    expect((await swapped('marionette', limb('thumb_1'))).told).toEqual([['warning', 8]]);
    expect((await swapped('marionette', limb('hand'))).told).toEqual([['warning', 26]]);
  });
});

describe('nothing is swapped', () => {
  test.each<CastName>(['marionette', 'mule', 'heron', 'stag-beetle', 'caterpillar'])(
    'on a %s whose left is at -X throughout',
    async (character) => {
      const all = raisePuppet(character).joints.filter(({ parent }) => parent === null);
      expect(
        (
          await swapped(
            character,
            all.map(({ name }) => name),
          )
        ).told,
      ).toEqual([]);
    },
  );

  test('on a figure that faces -Z', async () => {
    expect((await swapped('marionette', [], { vrm: '0.x' })).told).toEqual([]);
  });

  test('on a mule that stands along X, one hoof before the other', async () => {
    const puppet = raisePuppet('mule');
    const turn = ([x, y, z]: Vec3): Vec3 => [z, y, -x];
    for (const joint of puppet.joints) joint.position = turn(joint.position);
    for (const part of puppet.parts) part.positions = part.positions.map(turn);
    for (const [top, by] of [
      ['foreleg_L', 0.1],
      ['foreleg_R', -0.1],
      ['thigh_L', -0.1],
      ['thigh_R', 0.1],
    ] as const)
      for (const name of puppet.below(top)) puppet.moveJoint(name, [by, 0, 0]);
    const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'name.side');
    expect(findings).toEqual([]);
  });

  test('where a hand hangs on the other arm and lies where its name says', async () => {
    const puppet = raisePuppet('marionette');
    for (const [side, way] of [
      ['L', -1],
      ['R', 1],
    ] as const) {
      const reach = 2 * Math.abs(puppet.joint(`hand_${side}`).position[0]);
      for (const name of puppet.below(`hand_${side}`)) {
        puppet.joint(name).label = otherSide(name);
        puppet.moveJoint(name, [way * reach, 0, 0]);
      }
    }
    const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'name.side');
    expect(findings).toEqual([]);
  });
});

describe('an end tip', () => {
  test.each([
    ['toe_L_end', []],
    ['toe_L_tip', []],
    ['toe_L_bell', ['note']],
  ])('%s has the side of its parent, however it is spelt', async (label, levels) => {
    const puppet = raisePuppet('heron');
    puppet.joint('wing_tip_L').label = label;
    puppet.joint('wing_tip_R').label = label.replace('_L', '_R');
    const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'name.side');
    expect(findings.map(({ level }) => level)).toEqual(levels);
  });
});
