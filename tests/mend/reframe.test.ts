// Source: three.js (npm `three`) for where vertices stand before and after, see `skins-in-three.ts`.
import { describe, expect, it } from 'vitest';
import { Editable } from '../../src/mend/file/editable.js';
import { takeOutHindered } from '../../src/mend/reframe/carry-out.js';
import { Ground } from '../../src/mend/reframe/ground.js';
import { turnAlone } from '../../src/mend/reframe/similarity.js';
import { aboutAxis, type Quaternion } from '../../src/rig/quaternion.js';
import { modelOf } from '../support/facts-of.js';
import { type Dresser, dressed } from './dressed.js';
import { farthestSkin } from './skins-in-three.js';
import { turnFrames } from './turn-frames.js';

/** Share of the figure's reach. */
const SAME = 1e-5;

/** A heron whose head grows unequally, in what it stores and in a clip. */
const swelling = (stored: number[], keyed: number[]): Uint8Array =>
  dressed(
    'heron',
    () => undefined,
    (dresser: Dresser) => {
      dresser.node('head').scale = stored;
      const scales = dresser.accessor(Float32Array.from([...stored, ...keyed]), 'VEC3');
      dresser.key(dresser.named('head'), 'scale', [0, 1], scales, 'LINEAR');
    },
  );

/** A file, and the number of the node of this name in it. */
async function opened(bytes: Uint8Array, name: string) {
  const [edit, model] = [await Editable.fromBytes(bytes), await modelOf(bytes)];
  return { edit, model, node: model.nodes.names.indexOf(name) };
}

async function turned(bytes: Uint8Array, turn: Quaternion): Promise<Uint8Array> {
  const { edit, model, node } = await opened(bytes, 'head');
  turnFrames({ edit, model }, new Map([[node, turn]]));
  return edit.files().main;
}

const QUARTER = aboutAxis([1, 0, 0], Math.PI / 2);
const THIRTY = aboutAxis([1, 0, 0], Math.PI / 6);

describe('a turn of a frame that is scaled unequally', () => {
  it.each([
    ['stored', [1, 1.2, 0.7], [1, 1.2, 0.7]],
    ['in a clip', [1, 1, 1], [1, 1.5, 0.6]],
  ])('is exact by a right angle, which carries the scale along: %s', async (_, stored, keyed) => {
    const bytes = swelling(stored, keyed);
    const after = await turned(bytes, QUARTER);
    expect(Buffer.compare(after, bytes)).not.toBe(0);
    expect(await farthestSkin(bytes, after)).toBeLessThan(SAME);
  });

  it('is told of where no scale along axes holds the outcome', async () => {
    await expect(turned(swelling([1, 1.2, 0.7], [1, 1.2, 0.7]), THIRTY)).rejects.toThrow(
      '"head" would be skewed, which no node can store; mend its scale first',
    );
    await expect(turned(swelling([1, 1, 1], [1, 1.5, 0.6]), THIRTY)).rejects.toThrow(
      /^the clip "\w+" scales or turns "head" in a way that its new frame cannot follow exactly; change that clip first$/,
    );
  });
});

it('what a turn does not change keeps its accessor, though others read that, too', async () => {
  const bytes = dressed(
    'heron',
    () => undefined,
    (dresser: Dresser) => {
      const joint = dresser.named('head');
      const place = dresser.node('head').translation ?? [0, 0, 0];
      const keys = dresser.accessor(Float32Array.from([...place, ...place]), 'VEC3');
      for (const node of [joint, dresser.hang('neck_high', { name: 'lantern' })])
        dresser.key(node, 'translation', [0, 1], keys, 'LINEAR');
    },
  );
  const before = (await Editable.fromBytes(bytes)).json;
  const after = (await Editable.fromBytes(await turned(bytes, QUARTER))).json;
  expect(after.accessors).toEqual(before.accessors);
});

it('one node that is in the way leaves the others their turn', async () => {
  const bytes = dressed(
    'heron',
    () => undefined,
    (dresser: Dresser) => {
      dresser.node('neck_mid').mesh = dresser.plainMesh();
    },
  );
  const { edit, model, node } = await opened(bytes, 'neck_mid');
  const other = model.nodes.names.indexOf('neck_high');
  const frames = new Map([node, other].map((at) => [at, turnAlone(QUARTER)]));
  const why = takeOutHindered(new Ground({ edit, model }), frames);
  expect([...frames.keys()]).toEqual([other]);
  expect([...why]).toEqual([
    [
      node,
      'it carries a mesh that no skin moves, which would look different; move that to a separate node below it',
    ],
  ]);
});
