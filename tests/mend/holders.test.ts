// Source: three.js (npm `three`) for where nodes stand at rest and in clips, see `worlds-in-three.ts`; the
// mend itself is held to glTF 2.0, 3.5.3 Transformations and 3.7.3 Skins.
import { Matrix4, Quaternion, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import { holderOf } from '../../fixtures/kit/changes.js';
import { travel } from '../../fixtures/kit/clips.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { noTurn, turnAbout } from '../../fixtures/kit/turns.js';
import { holders } from '../../src/mend/repairs/holders.js';
import { splitGlb } from '../fixtures/read-back.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { type AnyNode, type Dresser, dressed, hangProps } from './dressed.js';
import { farthestSkin } from './skins-in-three.js';
import { farthestInThree } from './worlds-in-three.js';

/** What a mend may move. Share of size, and entries of world matrices of figures of some metres. */
const SAME = 1e-5;

function tip(puppet: Puppet): void {
  const holder = holderOf(puppet);
  holder.move = [0.3, -0.2, 1];
  holder.turn = turnAbout([0.6, 0, 0.8], 40);
  holder.scale = [2.5, 2.5, 2.5];
}

const nodeOf = (bytes: Uint8Array, name: string) =>
  splitGlb(bytes).json.nodes.find((node) => node.name === name);

const stage = (puppet: Puppet): string => holderOf(puppet).name;

describe.each(faults.filter(({ rule }) => rule === 'rest.holder'))('$name', (fault) => {
  const bytes = buildGlb(fault.puppet, { faults: [fault] });

  test('is mended without a finding in its place, and moves nothing', async () => {
    const before = await findingsOf(bytes);
    expect(before.filter((line) => line.startsWith('rest.holder'))).toHaveLength(1);
    const mended = await applyRepair(bytes, holders);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    const listed = fault.name === 'holders-that-nearly-cancel' ? 2 : 1;
    expect([mended.changes.length, mended.left]).toEqual([listed, []]);
    expect(mended.shift).toBeLessThan(SAME);
  });

  test('is mended once: again changes no byte', async () => {
    const once = await applyRepair(bytes, holders);
    const twice = await applyRepair(once.bytes, holders);
    expect(twice.changes).toEqual([]);
    expect(Buffer.compare(twice.bytes, once.bytes)).toBe(0);
  });
});

describe('a stage that is moved, turned and scaled', () => {
  test('is told with its measures, and is stored as nothing', async () => {
    let name = '';
    const mended = await applyRepair(
      dressed('heron', (puppet) => {
        tip(puppet);
        name = stage(puppet);
      }),
      holders,
    );
    expect(mended.changes).toEqual([
      {
        rule: 'rest.holder',
        place: name,
        before: 'moved by 1.06 m, turned by 40°, scaled by 2.5',
        after: 'at zero',
      },
    ]);
    const { translation, rotation, scale } = nodeOf(mended.bytes, name) ?? {};
    expect([translation, rotation, scale]).toEqual([undefined, undefined, undefined]);
  });

  test('leaves props, cameras, lights and plain meshes below it where they are, in clips too', async () => {
    const bytes = dressed('heron', tip, (dresser) => hangProps(dresser, 'stage'));
    const mended = await applyRepair(bytes, holders);
    expect([mended.changes.length, mended.left]).toEqual([1, []]);
    const isProp = (name: string): boolean => name.startsWith('prop');
    expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
  });

  test('leaves what is below a joint where it is, though the joint takes the scale along', async () => {
    const bytes = dressed('heron', tip, (dresser) => hangProps(dresser, 'neck_mid'));
    const mended = await applyRepair(bytes, holders);
    expect(mended.shift).toBeLessThan(SAME);
    const isProp = (name: string): boolean => name.startsWith('prop');
    expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
  });

  test('is mended the same when a matrix stores it, and a matrix stores its joint', async () => {
    const matrix = (node: AnyNode): void => {
      const { translation = [0, 0, 0], rotation = [0, 0, 0, 1], scale = [1, 1, 1] } = node;
      for (const key of ['translation', 'rotation', 'scale'] as const) delete node[key];
      node.matrix = composed(translation, rotation, scale);
    };
    const bytes = dressed('marionette', tip, (dresser) => {
      const root = dresser.json.skins?.[0]?.joints[0] ?? 0;
      for (const node of [dresser.node('stage'), dresser.nodes[root] ?? {}]) matrix(node);
      // A matrix may not be keyed (glTF 2.0, 3.11).
      delete dresser.json.animations;
    });
    const mended = await applyRepair(bytes, holders);
    expect([mended.changes.length, mended.left]).toEqual([1, []]);
    expect(mended.shift).toBeLessThan(SAME);
    expect(await findingsOf(mended.bytes)).toEqual([]);
  });

  test('leaves a skinned mesh node below it at zero, since its place is nothing to anybody', async () => {
    const bytes = dressed('heron', tip, (dresser) => {
      const hide = dresser.named('heron_hide');
      const [scene] = dresser.json.scenes;
      scene?.nodes.splice(scene.nodes.indexOf(hide), 1);
      dresser.node('stage').children = [...(dresser.node('stage').children ?? []), hide];
    });
    const mended = await applyRepair(bytes, holders);
    expect(nodeOf(mended.bytes, 'heron_hide')?.translation).toBeUndefined();
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(mended.shift).toBeLessThan(SAME);
  });

  test('hands the travel of a root on: the clip goes where it went', async () => {
    const change = (puppet: Puppet): void => {
      tip(puppet);
      const root = puppet.joints.find(({ parent }) => parent === null)?.name ?? '';
      puppet.clips.splice(0, puppet.clips.length, {
        name: 'walk',
        channels: [
          travel(root, [
            [0, 0, 0],
            [0, 0, 2],
            [1, 0, 2],
          ]),
        ],
      });
    };
    const bytes = dressed('heron', change, (dresser) => hangProps(dresser, 'stage'));
    const mended = await applyRepair(bytes, holders);
    expect(mended.shift).toBeLessThan(SAME);
    expect(mended.changes).toHaveLength(1);
  });

  test('mends quantised turns and cubic splines of the root', async () => {
    const bytes = dressed('heron', tip, (dresser) => {
      const root = dresser.json.skins?.[0]?.joints[0] ?? 0;
      const { rotation = [0, 0, 0, 1] } = dresser.nodes[root] ?? {};
      const stored = Int16Array.from([...rotation, 0, 0.6 * 1, 0, 0.8].map((v) => v * 32_767));
      delete dresser.json.animations;
      const output = dresser.accessor(stored, 'VEC4', { normalized: true });
      dresser.key(root, 'rotation', [0, 1], output, 'LINEAR');
      const spline = Float32Array.from([0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 1, 1, 0, 0, 0]);
      const places = dresser.accessor(spline, 'VEC3');
      dresser.key(root, 'translation', [0, 1], places, 'CUBICSPLINE');
    });
    const mended = await applyRepair(bytes, holders);
    expect(mended.changes).toHaveLength(1);
    expect(mended.shift).toBeLessThan(SAME);
  });
});

describe('holders in a row', () => {
  const row = (puppet: Puppet): void => {
    tip(puppet);
    puppet.holders.unshift({
      name: 'cart',
      move: [5, 0, 0],
      turn: turnAbout([0, 1, 0], 90),
      scale: [0.1, 0.1, 0.1],
    });
  };

  test('are all set to zero', async () => {
    const bytes = dressed('heron', row, (dresser) => hangProps(dresser, 'stage'));
    const mended = await applyRepair(bytes, holders);
    expect([mended.changes.length, mended.left]).toEqual([2, []]);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(mended.shift).toBeLessThan(SAME);
    const isProp = (name: string): boolean => name.startsWith('prop');
    expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
  });

  test('keep one at zero that is at zero, instead of handing it the transform', async () => {
    const bytes = dressed('heron', (puppet) => {
      tip(puppet);
      puppet.holders.push({ name: 'board', move: [0, 0, 0], turn: noTurn, scale: [1, 1, 1] });
    });
    const mended = await applyRepair(bytes, holders);
    expect(nodeOf(mended.bytes, 'board')?.translation).toBeUndefined();
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(mended.shift).toBeLessThan(SAME);
  });
});

const keys = Float32Array.of(0, 0, 0, 1, 0, 0);

test.each([
  [
    'that a clip moves',
    (dresser: Dresser) => {
      const output = dresser.accessor(keys, 'VEC3');
      dresser.key(dresser.named('stage'), 'translation', [0, 1], output, 'LINEAR');
    },
  ],
  [
    'that shows a mesh of its own',
    (dresser: Dresser) => {
      dresser.node('stage').mesh = dresser.plainMesh();
    },
  ],
])('a node above the rig %s is no holder, and nothing is told of it', async (_title, dress) => {
  const bytes = dressed('heron', tip, dress);
  expect((await findingsOf(bytes)).filter((line) => line.startsWith('rest.holder'))).toEqual([]);
  expect((await applyRepair(bytes, holders)).changes).toEqual([]);
});

test.each(['translation', 'rotation'] as const)(
  'a node that a clip poses by its %s takes over what the holder above it loses, and stays as it is',
  async (path) => {
    const change = (puppet: Puppet): void => {
      tip(puppet);
      const turn = turnAbout([0, 0.6, 0.8], 35);
      puppet.holders.push({ name: 'board', move: [0.2, 0, 0.1], turn, scale: [1, 1, 1] });
    };
    const swung = [...turnAbout([0, 0.6, 0.8], 35), ...turnAbout([1, 0, 0], 50)];
    const bytes = dressed('heron', change, (dresser) => {
      const board = dresser.named('board');
      const still = dresser.accessor(Float32Array.of(0.2, 0, 0.1, 0.2, 0, 0.1), 'VEC3');
      if (path === 'rotation') {
        // Its places are keyed as they are stored, as exports do.
        dresser.key(board, 'translation', [0, 1], still, 'LINEAR');
        const output = dresser.accessor(Float32Array.from(swung), 'VEC4');
        dresser.key(board, 'rotation', [0, 1], output, 'LINEAR');
      } else dresser.key(board, path, [0, 1], dresser.accessor(keys, 'VEC3'), 'LINEAR');
    });
    const mended = await applyRepair(bytes, holders);
    expect([mended.changes.map(({ place }) => place), mended.left]).toEqual([['stage'], []]);
    expect(await findingsOf(mended.bytes)).not.toContain('rest.holder stage');
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
    expect(nodeOf(mended.bytes, 'board')?.rotation).toBeDefined();
  },
);

describe('a holder is left alone with a word', () => {
  test.each([
    [
      'that scales unequally',
      (puppet: Puppet) => {
        tip(puppet);
        holderOf(puppet).scale = [1, 1.2, 1];
      },
      () => undefined,
      'it is scaled unequally, skewed or mirrored, and nothing below it can take that over',
    ],
    [
      'whose holder below is keyed by a clip as it is stored',
      (puppet: Puppet) => {
        tip(puppet);
        puppet.holders.push({ name: 'board', move: [0, 0, 0], turn: noTurn, scale: [1, 1, 1] });
      },
      (dresser: Dresser) => {
        const output = dresser.accessor(new Float32Array(6), 'VEC3');
        const [clip] = dresser.json.animations ?? [];
        if (clip !== undefined) clip.name = 'strut';
        dresser.key(dresser.named('board'), 'translation', [0, 1], output, 'LINEAR');
      },
      '"board", below it, is moved by the clip "strut"',
    ],
  ])('%s', async (_title, change, dress, why) => {
    const bytes = dressed('heron', change, dress);
    const mended = await applyRepair(bytes, holders);
    expect(mended.left.map((item) => item.why)).toEqual([why]);
    expect(mended.changes).toEqual([]);
    expect(splitGlb(mended.bytes).json).toEqual(splitGlb(bytes).json);
  });
});

test('a scale that a joint with a mesh of its own cannot take stays on the holder', async () => {
  const bytes = dressed('heron', tip, (dresser) => {
    dresser.node('neck_mid').mesh = dresser.plainMesh();
  });
  const mended = await applyRepair(bytes, holders);
  expect(mended.changes.map(({ after }) => after)).toEqual(['at zero, but still scaled by 2.5']);
  expect(await findingsOf(mended.bytes)).toEqual(['scale.unit stage']);
  expect(mended.shift).toBeLessThan(SAME);
  expect(await farthestInThree(bytes, mended.bytes, (name) => name === 'neck_mid')).toBeLessThan(
    SAME,
  );
});

/** T x R x S, as three.js composes it. */
function composed(translation: number[], rotation: number[], scale: number[]): number[] {
  return new Matrix4()
    .compose(
      new Vector3().fromArray(translation),
      new Quaternion().fromArray(rotation),
      new Vector3().fromArray(scale),
    )
    .toArray();
}
