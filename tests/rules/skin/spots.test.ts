import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { editInfluences } from '../../../fixtures/kit/changes.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { findingsOf } from '../../support/findings-of.js';

const stored = (puppet: Puppet): Uint8Array => mainFile(buildPuppet(puppet));

function faulty(name: string): Puppet {
  const fault = faultNamed(name);
  return raisePuppet(fault.puppet, { faults: [fault] });
}

/** What the rules about spots say of a puppet: rule, joint, vertices. */
async function told(puppet: Puppet) {
  const said = await Promise.all(
    ['skin.stray', 'skin.side'].map((rule) => findingsOf(stored(puppet), rule)),
  );
  return said.flatMap(({ findings }) =>
    findings.map(({ rule, place, measured }) => [rule, place.name, measured]),
  );
}

/** Paints three vertices of one joint half to another. */
function spot(from: string, to: string): Puppet {
  const puppet = raisePuppet('marionette');
  editInfluences(puppet, from, 3, () => [
    [from, 0.5],
    [to, 0.5],
  ]);
  return puppet;
}

describe('a spot far away', () => {
  test('that no other joint holds is to be given to the joint whose bone is nearest', async () => {
    const puppet = raisePuppet('marionette');
    editInfluences(puppet, 'shin_L', 3, () => [['head', 1]]);
    const { findings } = await findingsOf(stored(puppet), 'skin.stray');
    expect(findings.map(({ remedy }) => remedy)).toEqual([
      'Give these vertices to the joints whose bones are nearest, such as "shin_L".',
    ]);
  });

  test('is told with the joint, how far it lies, beside which joint, and what to do', async () => {
    const { findings } = await findingsOf(stored(faulty('shin-on-the-head')), 'skin.stray');
    expect(findings.map(({ message }) => message)).toEqual([
      expect.stringMatching(
        /^"head" moves 3 vertices of "marionette_hide" by up to 40 % that lie [\d.]+ m \([\d.]+ % of size\) or more from its bones, beside "shin_L" \(no such vertices are allowed; see vertices \d+, \d+, \d+\)\.$/,
      ),
    ]);
    expect(findings[0]?.remedy).toBe(
      'Set that weight to 0 there, and normalise what the other joints hold.',
    );
  });

  test('in several places is told once a joint, with all vertices and the count of spots', async () => {
    const puppet = spot('shin_L', 'head');
    editInfluences(puppet, 'forearm_R', 2, () => [
      ['forearm_R', 0.5],
      ['head', 0.5],
    ]);
    const { findings, measured } = await findingsOf(stored(puppet), 'skin.stray');
    expect(findings.map(({ place, measured: vertices }) => [place.name, vertices])).toEqual([
      ['head', 5],
    ]);
    expect(findings[0]?.message).toContain(
      '5 vertices of "marionette_hide" in 2 spots by up to 50 % that lie',
    );
    expect(measured).toMatchObject([{ short: 1 }]);
  });

  test('across the midline too is told once, as stray', async () => {
    expect(await told(spot('shin_R', 'upper_arm_L'))).toEqual([['skin.stray', 'upper_arm_L', 3]]);
  });

  test('on the same side is no matter of sides', async () => {
    expect(await told(spot('shin_L', 'upper_arm_L'))).toEqual([['skin.stray', 'upper_arm_L', 3]]);
  });
});

test('a spot on a mesh of its own, such as a costume, is told with the vertices of that mesh', async () => {
  const puppet = faulty('shin-on-the-head');
  const hose = puppet.parts.filter(({ name }) => name === 'thigh_L');
  for (const part of hose) part.costume = 'hose';
  const { findings } = await findingsOf(stored(puppet), 'skin.stray');
  const painted = hose.flatMap(({ influences }) =>
    influences.flatMap((list, vertex) =>
      list.some(([joint]) => joint === 'head') ? [vertex] : [],
    ),
  );
  expect(findings.map(({ vertices }) => vertices)).toEqual([painted]);
  expect(findings[0]?.message).toContain('3 vertices of "marionette_hose"');
});

describe('a spot past the midline', () => {
  test('is told with the joint, how far it lies past it, and whose it is', async () => {
    const { findings } = await findingsOf(stored(faulty('thigh-on-its-partner')), 'skin.side');
    expect(findings.map(({ message }) => message)).toEqual([
      expect.stringMatching(
        /^"thigh_L" moves 3 vertices of "marionette_hide" by up to 40 % that lie [\d.]+ m \([\d.]+ % of size\) or more past the midline \(none is allowed; see vertices \d+, \d+, \d+\)\.$/,
      ),
    ]);
    expect(findings[0]?.remedy).toBe('Move that weight to "thigh_R".');
  });

  test('is told whichever side it is on', async () => {
    expect(await told(spot('thigh_R', 'thigh_L'))).toEqual([['skin.side', 'thigh_L', 3]]);
    expect(await told(spot('thigh_L', 'thigh_R'))).toEqual([['skin.side', 'thigh_R', 3]]);
  });
});

describe('twins with such spots', () => {
  const both = (share: number): Puppet => {
    const puppet = raisePuppet('marionette');
    for (const [from, to] of [
      ['thigh_R', 'thigh_L'],
      ['thigh_L', 'thigh_R'],
    ] as const)
      editInfluences(puppet, from, from === 'thigh_R' ? 3 : 2, () => [
        [from, 1 - share],
        [to, share],
      ]);
    return puppet;
  };

  test.each([
    [0.5, 'warning'],
    [0.151, 'warning'],
    [0.149, 'note'],
    [0.051, 'note'],
  ])('are one finding, with a weight of %d a %s', async (share, level) => {
    const { findings, measured } = await findingsOf(stored(both(share)), 'skin.side');
    expect(
      findings.map((finding) => [
        finding.level,
        finding.place.name,
        finding.places.map(({ name }) => name),
        finding.measured,
      ]),
    ).toEqual([[level, 'thigh_L', ['thigh_L', 'thigh_R'], 5]]);
    expect(findings[0]?.remedy).toBe('Move the weight of each of the two joints to the other.');
    expect(measured).toMatchObject([{ short: 2 }]);
  });

  test('are two where one of them is stray as well', async () => {
    const puppet = both(0.5);
    editInfluences(puppet, 'forearm_R', 2, () => [
      ['forearm_R', 0.5],
      ['thigh_L', 0.5],
    ]);
    expect(await told(puppet)).toEqual([
      ['skin.stray', 'thigh_L', 2],
      ['skin.side', 'thigh_R', 2],
    ]);
  });
});

test('a rig without pairs has no sides to mix up', async () => {
  const puppet = raisePuppet('caterpillar');
  const feet = puppet.joints.filter(({ name }) => name.startsWith('foot_'));
  puppet.joints.splice(
    0,
    puppet.joints.length,
    ...puppet.joints.filter((joint) => !feet.includes(joint)),
  );
  puppet.parts.splice(0, puppet.parts.length, ...puppet.parts.slice(0, 1));
  const { measured } = await findingsOf(stored(puppet), 'skin.side');
  expect(measured).toMatchObject([{ because: 'the rig has no pairs that move skin' }]);
});
