import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { editInfluences } from '../../../fixtures/kit/changes.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { findingsOf } from '../../support/findings-of.js';

/** A mule whose left ear is a mesh of its own. */
function cappedMule(): Puppet {
  const puppet = raisePuppet('mule');
  const ear = puppet.parts.find(({ name }) => name === 'ear_L');
  if (ear === undefined) throw new Error('the mule has no ear');
  ear.costume = 'cap';
  return puppet;
}

/** Does the same to vertices of the neck and of the ear, on two meshes. */
function both(counts: readonly [number, number], edit: (list: Influence[]) => Influence[]): Puppet {
  const puppet = cappedMule();
  editInfluences(puppet, 'neck_low', counts[0], edit);
  editInfluences(puppet, 'ear_L', counts[1], edit);
  return puppet;
}

async function told(puppet: Puppet, rule: string) {
  const { findings, measured } = await findingsOf(mainFile(buildPuppet(puppet)), rule);
  return {
    findings: findings.map(({ level, place, places, measured: amount, counts }) => [
      level,
      place.name,
      places.map(({ name }) => name),
      amount,
      counts?.short,
    ]),
    messages: findings.map(({ message }) => message),
    short: measured.map((entry) => (entry.kind === 'judged' ? entry.short : null)),
  };
}

const MESHES = ['mule_cap', 'mule_hide'];

describe('one fault on two meshes is one finding, at the worse, with all vertices', () => {
  test('vertices that no joint moves', async () => {
    const said = await told(
      both([2, 3], () => []),
      'skin.unweighted',
    );
    expect(said.findings).toEqual([['error', 'mule_cap', MESHES, 5, 5]]);
    expect(said.messages[0]).toMatch(
      /^5 of \d+ vertices of "mule_cap" and "mule_hide" are moved by no joint \(none is allowed; see vertices \d+, \d+, \d+ of "mule_cap"\)\.$/,
    );
    expect(said.short).toEqual([5]);
  });

  test('an index past the joints', async () => {
    const said = await told(
      both([3, 2], () => [[200, 1]]),
      'skin.index',
    );
    expect(said.findings).toEqual([['error', 'mule_hide', MESHES, 5, 5]]);
    expect(said.short).toEqual([5]);
  });

  test('too many joints on a vertex', async () => {
    const crowd = ['neck_low', 'withers', 'neck_high', 'head', 'spine_fore', 'trunk'];
    const puppet = both([3, 0], () => crowd.slice(0, 5).map((name) => [name, 0.2]));
    editInfluences(puppet, 'ear_L', 1, () => crowd.map((name) => [name, 1 / 6]));
    const said = await told(puppet, 'skin.budget');
    expect(said.findings).toEqual([['note', 'mule_cap', MESHES, 6, 4]]);
  });

  test('sums that are off; at an error those past its limit are counted, and the others named', async () => {
    const off = (by: number) => (list: Influence[]) =>
      list.map(([joint, weight]): Influence => [joint, weight - by]);
    const puppet = both([2, 0], off(0.2));
    editInfluences(puppet, 'ear_L', 3, off(0.005));
    const said = await told(puppet, 'skin.sum');
    expect(said.findings).toEqual([['error', 'mule_hide', MESHES, expect.closeTo(0.2, 5), 2]]);
    expect(said.messages[0]).toMatch(
      /^The weights of 2 of \d+ vertices of .+ the worst sum to 0\.8 \(limit 0\.01 away from 1; .+\); 3 vertices more are off by less\.$/,
    );
    expect(said.short).toEqual([5]);
  });

  test('without an error all that are off are counted', async () => {
    const puppet = both([2, 3], (list) => list.map(([joint]): Influence => [joint, 0.995]));
    const said = await told(puppet, 'skin.sum');
    expect(said.findings).toEqual([
      ['warning', expect.any(String), MESHES, expect.closeTo(0.005, 5), 5],
    ]);
  });
});

describe('weights that are not allowed', () => {
  test('that are no numbers belong to the meshes, whatever the joint', async () => {
    const said = await told(
      both([2, 1], ([own]) => [[own?.[0] ?? 0, Number.NaN]]),
      'skin.repeat',
    );
    expect(said.findings).toEqual([['error', 'mule_hide', MESHES, 3, 3]]);
  });

  test('that are negative are told once, at the joint with most of them', async () => {
    const puppet = both([2, 0], () => [
      ['neck_low', 1.5],
      ['head', -0.5],
    ]);
    editInfluences(puppet, 'ear_L', 1, () => [
      ['head', 1.5],
      ['ear_L', -0.5],
    ]);
    const said = await told(puppet, 'skin.repeat');
    expect(said.findings).toEqual([['error', 'head', ['head', 'ear_L'], 3, 3]]);
    expect(said.messages[0]).toMatch(/^2 joints have a negative weight on 3 of \d+ vertices of /);
  });

  test('of three kinds are three findings', async () => {
    const puppet = both([1, 0], () => [['neck_low', Number.NaN]]);
    editInfluences(puppet, 'ear_L', 1, () => [
      ['head', 1.5],
      ['ear_L', -0.5],
    ]);
    editInfluences(puppet, 'ear_L', 1, () => [
      ['ear_L', 0.5],
      ['ear_L', 0.5],
    ]);
    const said = await told(puppet, 'skin.repeat');
    expect(said.findings.map(([, place]) => place)).toEqual(
      expect.arrayContaining(['mule_hide', 'ear_L']),
    );
    expect(said.findings).toHaveLength(3);
    expect(said.short).toEqual([3]);
  });
});

describe('inverse bind matrices', () => {
  const flat = (matrix: readonly number[]) => matrix.map((value, i) => (i < 4 ? 0 : value));
  const skewed = (matrix: readonly number[]) => matrix.map((value, i) => (i === 3 ? 0.25 : value));

  test('with one fault are one finding, with another another', async () => {
    const puppet = raisePuppet('heron');
    puppet.joint('beak_tip').editBindMatrix = flat;
    puppet.joint('tail_tip').editBindMatrix = flat;
    puppet.joint('wing_tip_L').editBindMatrix = skewed;
    const said = await told(puppet, 'skin.bind-matrix');
    expect(said.findings).toEqual([
      ['error', 'beak_tip', ['beak_tip', 'tail_tip'], 2, 2],
      ['error', 'wing_tip_L', ['wing_tip_L'], 1, 1],
    ]);
    expect(said.short).toEqual([3]);
    expect(said.messages[0]).toMatch(/^2 of \d+ inverse bind matrices cannot be inverted \(/);
  });

  test('that are all zeros are told as that', async () => {
    const puppet = raisePuppet('heron');
    puppet.joint('beak_tip').editBindMatrix = (matrix) => matrix.map(() => 0);
    const { messages } = await told(puppet, 'skin.bind-matrix');
    expect(messages).toEqual([
      'The inverse bind matrix of "beak_tip" has only zeros (none is allowed).',
    ]);
  });
});

test('the fault of sums on two meshes is told once', async () => {
  const fault = faultNamed('two-meshes-far-short');
  const said = await told(raisePuppet('mule', { faults: [fault] }), 'skin.sum');
  expect(said.findings.map(([level, , places, , short]) => [level, places, short])).toEqual([
    ['error', MESHES, 6],
  ]);
});
