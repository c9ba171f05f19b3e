// Source for the square turns: three.js (npm `three`) makes the 24 rotations that take axes to axes as
// matrices with one 1 or -1 in each row and column and a determinant of 1, and measures angles to them.
import { Matrix4, Quaternion } from 'three';
import { expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { holderOf } from '../../../fixtures/kit/changes.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { compose, turnAbout } from '../../../fixtures/kit/turns.js';
import { tiltDegrees } from '../../../src/measure/pose/holder-sum.js';
import { dressed, hangProps } from '../../mend/dressed.js';
import { findingsOf } from '../../support/findings-of.js';

const check = (change: (puppet: Puppet) => void, rule = 'rest.holder') => {
  const puppet = raisePuppet('heron');
  change(puppet);
  return findingsOf(mainFile(buildPuppet(puppet)), rule);
};

const squareTurns = [0, 1, 2].flatMap((x) =>
  [0, 1, 2].flatMap((y) => {
    if (x === y) return [];
    return [1, -1].flatMap((sx) =>
      [1, -1].map((sy) => {
        const z = 3 - x - y;
        const sz = sx * sy * ((x + 1) % 3 === y ? 1 : -1);
        const matrix = new Matrix4().set(0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1);
        matrix.elements[x] = sx;
        matrix.elements[4 + y] = sy;
        matrix.elements[8 + z] = sz;
        return new Quaternion().setFromRotationMatrix(matrix);
      }),
    );
  }),
);

test('the tilt of a rotation is its angle to the nearest of the 24 square turns', () => {
  expect(squareTurns).toHaveLength(24);
  for (let seed = 1; seed <= 500; seed++) {
    const part = (k: number): number => Math.sin(seed * (12.9898 + 7.77 * k)) * 10;
    const random = new Quaternion(part(1), part(2), part(3), part(4)).normalize();
    const nearest = Math.min(...squareTurns.map((turn) => turn.angleTo(random)));
    const own = tiltDegrees([random.x, random.y, random.z, random.w]);
    expect(own).toBeCloseTo((nearest * 180) / Math.PI, 5);
  }
});

test('any of the square turns with any uniform scale is a note', async () => {
  for (const turn of squareTurns.filter(({ w }) => Math.abs(w) < 0.999)) {
    const { findings } = await check((puppet) => {
      holderOf(puppet).turn = [turn.x, turn.y, turn.z, turn.w];
      holderOf(puppet).scale = [300, 300, 300];
    });
    expect(findings.map(({ level }) => level)).toEqual(['note']);
  }
});

test('a conversion covers the scale of its holder, which is not told again', async () => {
  const scaled = (puppet: Puppet): void => {
    holderOf(puppet).turn = turnAbout([1, 0, 0], -90);
    holderOf(puppet).scale = [300, 300, 300];
  };
  const { findings } = await check(scaled);
  expect(findings[0]?.message).toBe(
    'The holder "stage" is turned by 90° about its -X axis and scaled by 300 (limit 0.1°): an export left this conversion of axes or units.',
  );
  expect((await check(scaled, 'scale.unit')).findings).toEqual([]);
});

const undone = (puppet: Puppet): void => {
  const turn = turnAbout([0, 1, 0], 70);
  holderOf(puppet).turn = compose(turnAbout([0, 1, 0], -140), turn);
  holderOf(puppet).scale = [0.01, 0.01, 0.01];
  puppet.holders.unshift({ name: 'cart', move: [0, 0, 0], turn, scale: [100, 100, 100] });
};

test('holders that undo each other are told by no rule', async () => {
  for (const rule of ['rest.holder', 'scale.unit', 'rest.centred'])
    expect((await check(undone, rule)).findings).toEqual([]);
});

test('holders are one finding that lists them and sums them up', async () => {
  const { findings } = await check((puppet) => {
    holderOf(puppet).move = [0, 0, 2];
    puppet.holders.unshift({
      name: 'cart',
      move: [0, 0, 1],
      turn: turnAbout([0, 0, 1], 90),
      scale: [1, 1, 1],
    });
  });
  expect(findings.map(({ level, places }) => [level, places.map(({ name }) => name)])).toEqual([
    ['warning', ['cart', 'stage']],
  ]);
  expect(findings[0]?.place.name).toBe('stage');
  expect(findings[0]?.message).toContain(
    'The holders "cart" and "stage" together are moved by 3 m',
  );
});

test('one holder of four rigs is one finding, and a scene of four rigs is not off its centre', async () => {
  const { apply } = faultNamed('moved-stage-of-four');
  expect((await check((puppet) => apply(puppet, 20))).findings).toHaveLength(1);
  const { measured } = await check((puppet) => apply(puppet, 0.005), 'rest.centred');
  expect(measured).toHaveLength(4);
  for (const entry of measured)
    expect(entry).toMatchObject({
      kind: 'not applicable',
      because: expect.stringContaining('laid out in a scene (beside it: rigs 3, objects 0)'),
    });
});

test('a model that stands off the centre line is one of many things where three objects stand beside it', async () => {
  const off = (puppet: Puppet): void => faultNamed('off-the-centre-line').apply(puppet, 5);
  const beside = (objects: number) =>
    dressed('heron', off, (dresser) => {
      for (let at = 0; at < objects; at++) {
        dresser.json.scenes[0]?.nodes.push(dresser.nodes.length);
        dresser.nodes.push({ name: `crate ${at}`, mesh: dresser.plainMesh() });
      }
    });
  expect((await findingsOf(beside(2), 'rest.centred')).findings).toHaveLength(1);
  expect((await findingsOf(beside(3), 'rest.centred')).findings).toEqual([]);
});

test('a prop that hangs beside the rig makes no bone of its holder', async () => {
  const bytes = dressed(
    'heron',
    (puppet) => {
      holderOf(puppet).move = [0, 0, 2];
    },
    (dresser) => hangProps(dresser, 'stage'),
  );
  expect((await findingsOf(bytes, 'rest.holder')).findings).toHaveLength(1);
});
