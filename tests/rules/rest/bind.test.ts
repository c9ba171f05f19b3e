import { expect, test } from 'vitest';
import { build, buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { findingsOf, withLimit } from '../../support/findings-of.js';

const glbOf = (name: string, amount?: number) => {
  const fault = faultNamed(name);
  return mainFile(build(fault.puppet, { faults: [{ fault, amount: amount ?? fault.failing }] }));
};

const ways = [
  'bind pose before export',
  'bind the mesh again in the stored pose',
  'If this pose is intended, ',
  'or say so in the standard ("rest": "posed")',
];

test.each(['bent-elbow', 'stored-in-a-wave', 'torn-forearm', 'boot-bound-bent'])(
  '%s names all ways out',
  async (name) => {
    const { findings } = await findingsOf(glbOf(name), 'rest.bind');
    expect(findings).toHaveLength(1);
    for (const way of ways) expect(findings[0]?.remedy).toContain(way);
  },
);

test('one joint that is only turned is told with its angle and its axis', async () => {
  // The fault turns the elbow about its up axis, +Z, right-handed.
  for (const [amount, told] of [
    [30, 'posed: "forearm_L", turned by 30° about its +Z axis'],
    [-30, 'posed: "forearm_L", turned by 30° about its -Z axis'],
  ] as const) {
    const { findings } = await findingsOf(glbOf('bent-elbow', amount), 'rest.bind');
    expect(findings[0]?.message).toContain(told);
  }
});

test('a rig that is delivered in another pose on purpose is not judged where the standard says so', async () => {
  const posed = { wanted: { aim: null, up: null, rest: 'posed' as const } };
  for (const name of ['bent-elbow', 'torn-forearm', 'grown-since-bound']) {
    const { findings, measured } = await findingsOf(glbOf(name), 'rest.bind', posed);
    expect([findings, measured]).toMatchObject([
      [],
      [
        {
          kind: 'not applicable',
          because:
            'the standard says that rigs are delivered in another pose than they were bound in',
        },
      ],
    ]);
  }
});

test('a torn joint is told at its place, with how far it is off', async () => {
  const { findings } = await findingsOf(glbOf('torn-forearm'), 'rest.bind');
  expect(findings[0]).toMatchObject({ level: 'error', place: { name: 'forearm_L' } });
  expect(findings[0]?.message).toMatch(
    /^"forearm_L" is 0\.\d+ m \(4 % of size\) away from its place in the bind pose, relative to its parent \(limit 1 % of size\), and/,
  );
});

test('a joint that is torn by less than an error is a warning', async () => {
  const levels = async (amount: number, change = {}): Promise<string[]> => {
    const { findings } = await findingsOf(glbOf('torn-forearm', amount), 'rest.bind', change);
    return findings.map(({ level }) => level);
  };
  expect(await levels(0.9)).toEqual(['warning']);
  expect(await levels(1.1)).toEqual(['error']);
  expect(await levels(1.1, withLimit('rest.bind', { torn: 2 }))).toEqual(['warning']);
});

test('a pose between keys of a clip is a warning, though a joint is drawn out and one is not keyed', async () => {
  const { findings } = await findingsOf(glbOf('stored-between-keys'), 'rest.bind');
  expect(findings.map(({ level, places }) => [level, places.map(({ name }) => name)])).toEqual([
    ['warning', ['upper_arm_L', 'forearm_L', 'hand_R']],
  ]);
  const time = /in a pose of the clip "wave" \(at ([\d.]+) s\)/.exec(findings[0]?.message ?? '');
  expect(Number(time?.[1])).toBeCloseTo(0.45, 2);
});

test('a scale that was not there when bound is an error at its joint, and told once', async () => {
  const bytes = glbOf('grown-since-bound');
  const { findings } = await findingsOf(bytes, 'rest.bind');
  expect(findings.map(({ level, message }) => [level, message])).toEqual([
    [
      'error',
      'The topmost joint "trunk" is scaled by 1.25, which it was not when the mesh was bound (limit 5 % away from 1).',
    ],
  ]);
  expect((await findingsOf(bytes, 'scale.unit')).findings).toEqual([]);
  const wide = withLimit('rest.bind', { scale: 30 });
  expect((await findingsOf(bytes, 'rest.bind', wide)).findings).toEqual([]);
  expect((await findingsOf(bytes, 'scale.unit', wide)).findings).toHaveLength(1);
});

test.each([
  ['a carrier at the origin, whose own matrix is the identity', {}, 1],
  [
    'a rig with a dequantisation in its matrices, which then say nothing',
    { positions: 'quantised' },
    0,
  ],
] as const)('such a scale on %s', async (_title, options, count) => {
  const puppet = raisePuppet('marionette', options);
  puppet.edits.push((json) => {
    const carrier = json.nodes.find(({ name }) => name === 'carrier');
    if (carrier !== undefined) carrier.scale = [2, 2, 2];
  });
  const bytes = mainFile(buildPuppet(puppet, options));
  const { findings } = await findingsOf(bytes, 'rest.bind');
  expect(findings.map(({ place }) => place.name)).toEqual(count === 1 ? ['carrier'] : []);
  expect((await findingsOf(bytes, 'scale.unit')).findings).toHaveLength(1 - count);
});

test('a scale that was there when bound is scale.unit alone', async () => {
  const bytes = glbOf('grown-trunk');
  expect((await findingsOf(bytes, 'rest.bind')).findings).toEqual([]);
  expect((await findingsOf(bytes, 'scale.unit')).findings).toHaveLength(1);
});

test('two skins bound in different poses are each held against their own', async () => {
  const { findings } = await findingsOf(glbOf('boot-bound-bent'), 'rest.bind');
  expect(findings[0]).toMatchObject({ level: 'warning', places: [{ name: 'toe_L' }] });
});
