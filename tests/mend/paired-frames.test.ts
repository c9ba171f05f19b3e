// Sources: three.js (npm `three`) for where joints and vertices stand, see `three-scene.ts`; that a right frame
// mirrors a left one where S R D is it, S = diag(-1, 1, 1) and D one diagonal of signs, is plain algebra.
import { type Matrix4, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { insertOnBone } from '../../fixtures/kit/changes.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { tempFolder } from '../support/temp-folder.js';
import { loadInThree } from '../support/three-scene.js';
import { dressed } from './dressed.js';
import { runRepair } from './run-repair.js';
import { farthestSkin } from './skins-in-three.js';

const settings = defaultSettings(rules);
/** Share of the figure's reach. */
const SAME = 1e-5;
/** How far the frames of a pair may be off their mirror after a mend. Degrees. */
const MIRRORED = 2.1;

function raised(name: CastName, change: (puppet: Puppet) => void): Uint8Array {
  const puppet = raisePuppet(name);
  change(puppet);
  return mainFile(buildPuppet(puppet));
}

function mend(bytes: Uint8Array): Promise<MendResult> {
  return mendAsset(`${tempFolder({ 'rig.glb': bytes })}/rig.glb`, settings, [turnedFrames]);
}

function axisFindings({ after }: MendResult): string[] {
  return after.findings.flatMap(({ rule, level }) =>
    rule.startsWith('axis.') ? [`${level} ${rule}`] : [],
  );
}

/** World matrices of all nodes at rest, by name; three.js makes them. */
async function worldsOf(bytes: Uint8Array): Promise<Map<string, Matrix4>> {
  const { nodes } = await loadInThree(bytes);
  return new Map([...nodes.values()].map(({ name, matrixWorld }) => [name, matrixWorld]));
}

/** Per pair, the largest angle of an axis from the mirrored one, signs apart; degrees. */
function missesOf(worlds: ReadonlyMap<string, Matrix4>, isAsked: RegExp): Map<string, number> {
  const axesOf = (matrix: Matrix4): Vector3[] => {
    const axes = [new Vector3(), new Vector3(), new Vector3()] as const;
    matrix.extractBasis(...axes);
    return axes.map((axis) => axis.normalize());
  };
  const misses = new Map<string, number>();
  for (const [name, left] of worlds) {
    const right = worlds.get(name.replace(/_L$/, '_R'));
    if (!isAsked.test(name) || !name.endsWith('_L') || right === undefined) continue;
    const [from, to] = [axesOf(left), axesOf(right)];
    const angles = from.map(({ x, y, z }, axis) => {
      const cosine = new Vector3(-x, y, z).dot(to[axis] ?? new Vector3());
      return (180 / Math.PI) * Math.acos(Math.min(1, Math.abs(cosine)));
    });
    misses.set(name, Math.max(...angles));
  }
  return misses;
}

const LIMBS = /^(collarbone|upper_arm|forearm|hand|finger_.*|thumb_.*|thigh|shin|foot)_[LR]$/;

test('a rig whose limbs are all rolled at random comes out with all pairs mirrored', async () => {
  const bytes = raised('marionette', (puppet) => {
    let turn = 17;
    for (const { name } of puppet.joints)
      if (LIMBS.test(name)) {
        turn = (turn * 73 + 41) % 331;
        puppet.turnFrame(name, 'aim', turn);
      }
  });
  const result = await mend(bytes);
  expect(result.before.findings.map(({ rule }) => rule)).toContain('axis.up');
  expect([result.offending, result.left, axisFindings(result)]).toEqual([null, [], []]);
  const misses = missesOf(await worldsOf(result.files.main), /^(?!.*_tip|toe)/);
  expect(misses.size).toBeGreaterThan(15);
  expect([...misses].filter(([, miss]) => miss > MIRRORED)).toEqual([]);
  const before = missesOf(await worldsOf(bytes), LIMBS);
  expect(Math.max(...before.values())).toBeGreaterThan(40);
  expect(await farthestSkin(bytes, result.files.main)).toBeLessThan(SAME);
  // At once, though it could take several rounds; the tips follow in the next.
  expect((await runRepair(turnedFrames, bytes)).remaining).toEqual(['axis.end']);
  const twice = await mend(result.files.main);
  expect(twice.changes).toEqual([]);
});

test.each([
  ['shin_L', 'left'],
  ['shin_R', 'right'],
])(
  'where only %s is rolled, the other side is right already, and only it is turned',
  async (name) => {
    const bytes = raised('heron', (puppet) => puppet.turnFrame(name, 'aim', 40));
    const { changes, left } = await mend(bytes);
    expect([changes.map(({ place }) => place.split('/').at(-1)), left]).toEqual([[name], []]);
  },
);

describe('a pair that cannot be turned together', () => {
  test('is not turned at all where one of the two carries a lantern', async () => {
    const bytes = dressed(
      'marionette',
      (puppet) => puppet.turnPair('shin_L', 'aim', 90),
      (dresser) => {
        dresser.json.cameras = [{ type: 'perspective', perspective: { yfov: 1, znear: 0.1 } }];
        dresser.node('shin_R').camera = 0;
      },
    );
    const { changes, left } = await mend(bytes);
    expect(changes).toEqual([]);
    expect(left.map(({ place, why }) => `${place.split('/').at(-1)}: ${why}`).sort()).toEqual([
      'shin_L: its partner "shin_R" stays as it is, and the two joints of a pair are turned together or not at all',
      expect.stringMatching(/^shin_R: it carries a camera, which would look different; /),
    ]);
  });

  test('is not turned where both segments have a joint of their own that tells another roll', async () => {
    const bytes = raised('marionette', (puppet) => {
      for (const name of ['upper_arm_R', 'forearm_R', 'hand_R', 'collarbone_R'])
        puppet.turnFrame(name, 'aim', 40);
      // No pairs: each is rolled as its own side is.
      insertOnBone(puppet, 'ribbon', 'upper_arm_L', 'forearm_L', 0.09, true);
      insertOnBone(puppet, 'bracer', 'upper_arm_R', 'forearm_R', 0.18, true);
    });
    const { changes, left, after } = await mend(bytes);
    const turned = changes.map(({ place }) => place.split('/').at(-1));
    expect(turned.filter((name) => /forearm/.test(name ?? ''))).toEqual([]);
    expect(left.map(({ why }) => why)).toContainEqual(
      expect.stringMatching(/^no frames suit both joints of the pair: /),
    );
    expect(after.findings.map(({ rule }) => rule)).not.toContain('axis.up');
  });
});

test('a joint whose own segment asks for a frame near to the mirrored one is given that', async () => {
  const bytes = raised('marionette', (puppet) => {
    // No pairs: each is rolled as its own side is.
    for (const [side, metres, names] of [
      ['L', 0.1, ['garter', 'lace', 'knot']],
      ['R', 0.06, ['buckle', 'strap', 'bell']],
    ] as const)
      names.forEach((name, at) => {
        insertOnBone(puppet, name, names[at - 1] ?? `thigh_${side}`, `shin_${side}`, metres, true);
      });
    for (const name of ['buckle', 'strap', 'bell', 'shin_R', 'foot_R', 'toe_R'])
      puppet.turnFrame(name, 'aim', 8);
  });
  const result = await mend(bytes);
  expect(result.before.findings.map(({ rule }) => rule)).toContain('axis.up');
  expect([result.left, axisFindings(result)]).toEqual([[], []]);
  const turned = result.changes.map(({ place }) => place.split('/').at(-1) ?? '');
  expect(turned).toContain('thigh_R');
  expect(turned.filter((name) => name.endsWith('_L'))).toEqual([]);
});

test('a hand that agrees with its arm and not with its fingers is aimed with the arm', async () => {
  const bytes = raised('marionette', (puppet) => {
    for (const { name } of [...puppet.joints])
      if (/^(finger|thumb)_.*_L$/.test(name)) puppet.turnPair(name, 'aim', 60);
    puppet.turnPair('hand_L', 'up', 12);
  });
  const result = await mend(bytes);
  expect([result.left, axisFindings(result)]).toEqual([[], []]);
  const turns = result.changes.map(({ place, before }) => [place.split('/').at(-1), before]);
  expect(turns.map(([name]) => name).sort()).toEqual(['hand_L', 'hand_R']);
  for (const [, before = ''] of turns) expect(Number.parseFloat(before.slice(6))).toBeLessThan(16);
});

test('the side on which less is to be turned is the one that the other follows', async () => {
  const arm = /^(collarbone|upper_arm|forearm|hand|finger_.*|thumb_.*)_R$/;
  const bytes = raised('marionette', (puppet) => {
    for (const { name } of puppet.joints) if (arm.test(name)) puppet.turnFrame(name, 'aim', 40);
    puppet.turnFrame('forearm_L', 'aim', 25);
  });
  const result = await runRepair(turnedFrames, bytes);
  expect(result.found).toEqual(['axis.up', 'axis.mirror']);
  expect(result.remaining).toEqual(['axis.end']);
  // Fingers that do not go on from the hand are limbs of their own.
  const turned = result.changes
    .map(({ place }) => place.split('/').at(-1) ?? '')
    .filter((name) => /arm_|hand_|collarbone_/.test(name));
  expect(turned.sort()).toEqual(['collarbone_L', 'forearm_L', 'hand_L', 'upper_arm_L']);
});

test('a foot whose leg holds no other frame to a roll is aimed by the smallest turn', async () => {
  const bytes = raised('heron', (puppet) => {
    for (const name of ['thigh_L', 'shin_L']) puppet.turnPair(name, 'up', 60);
    puppet.turnPair('foot_L', 'up', 70);
    // A roll that no joint of the leg tells, since all of them point elsewhere.
    for (const name of ['thigh_L', 'shin_L', 'foot_L']) puppet.turnPair(name, 'aim', 30);
  });
  const result = await mend(bytes);
  const feet = result.changes.filter(({ place }) => /foot_[LR]$/.test(place));
  expect(feet).toHaveLength(2);
  for (const { before } of feet) expect(Number.parseFloat(before.slice(6))).toBeCloseTo(70, 0);
});
