import { describe, expect, it } from 'vitest';
import { Editable } from '../../src/mend/file/editable.js';
import type { Proof } from '../../src/mend/proof/proof.js';
import { isSeen } from '../../src/mend/proof/proof.js';
import { LARGEST_SHIFT, LARGEST_TURN } from '../../src/mend/proof/proof-limits.js';
import { summed } from '../../src/mend/proof/proof-seen.js';
import {
  DELTA,
  KEYS,
  lookedAt,
  type Made,
  NORMAL_DELTA,
  NORMALS,
  prove,
  TANGENTS,
  type Unlike,
} from './proof-looks.js';

const sound = lookedAt();

async function rewritten(change: (edit: Editable) => void): Promise<Uint8Array> {
  const edit = await Editable.fromBytes(sound);
  change(edit);
  return edit.files().main;
}

/** The vertex moved up the page. */
function raised(vertex: number, by: number): Promise<Uint8Array> {
  return rewritten((edit) => {
    const user = { kind: 'attribute', mesh: 0, primitive: 0, name: 'POSITION' } as const;
    const values = Float32Array.from(edit.read(user) ?? []);
    values[3 * vertex + 1] = (values[3 * vertex + 1] ?? 0) + by;
    edit.write(user, values);
  });
}

/** A list as it is by default, but for some of its numbers. */
function but(list: Made, from: number, to: number, made: (was: number) => number): Made {
  return (at) => (at >= from && at < to ? made(list(at)) : list(at));
}

async function proofOf(unlike: Unlike): Promise<Proof> {
  return prove(sound, lookedAt(unlike));
}

describe('a file against itself', () => {
  it('shows nothing, and tells what it looked at', async () => {
    const proof = await prove(sound, lookedAt());
    expect(isSeen(proof)).toBe(false);
    const { stored, clips, vertices, directions, targets, poses } = proof;
    for (const { share, turn, where, turned } of [proof, stored, clips])
      expect([share, turn, where, turned]).toEqual([0, 0, null, null]);
    expect([vertices, directions, targets]).toEqual([1450, 1450, 2]);
    expect(poses).toBe(10);
  });

  it('with a normal that is no number in both is not said to differ', async () => {
    const odd = lookedAt({ normals: but(NORMALS, 30, 31, () => Number.NaN) });
    expect(await prove(odd, odd)).toMatchObject({ share: 0, turn: 0 });
  });
});

describe('what is seen', () => {
  it('a vertex that moved', async () => {
    const proof = await prove(sound, await raised(40, 0.01));
    expect(proof.stored.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.stored.where).toMatchObject({ vertex: 40, clip: null, target: null });
    expect(proof.clips.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.turn).toBe(0);
  });

  it('a vertex that other joints move, in a clip alone', async () => {
    const user = { kind: 'attribute', mesh: 0, primitive: 0, name: 'JOINTS_0' } as const;
    const rehung = await rewritten((edit) => {
      const slots = Uint8Array.from(edit.read(user) ?? []);
      const weights = Float32Array.from(edit.read({ ...user, name: 'WEIGHTS_0' }) ?? []);
      const vertex = 40;
      const [here = 0] = slots.subarray(4 * vertex);
      slots.set([here, (here + 5) % 8], 4 * vertex);
      weights.set([0.5, 0.5, 0, 0], 4 * vertex);
      edit.write(user, slots);
      edit.write({ ...user, name: 'WEIGHTS_0' }, weights);
    });
    const proof = await prove(sound, rehung);
    expect(proof.stored.share).toBeLessThan(LARGEST_SHIFT);
    expect(proof.clips.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.clips.where?.vertex).toBe(40);
  });

  it('a vertex that moves in a clip, between keys alone', async () => {
    const keys: number[] = [];
    const stepped = await rewritten(({ json }) => {
      const [clip] = json.animations ?? [];
      const channel = clip?.channels.findIndex(({ target }) => target.path === 'rotation') ?? -1;
      const sampler = clip?.samplers[clip.channels[channel]?.sampler ?? -1];
      expect(sampler?.interpolation ?? 'LINEAR').toBe('LINEAR');
      Object.assign(sampler ?? {}, { interpolation: 'STEP' });
      const input = json.accessors?.[sampler?.input ?? -1];
      keys.push(...(input?.min ?? []), ...(input?.max ?? []));
    });
    const proof = await prove(sound, stepped);
    expect(proof.stored).toMatchObject({ share: 0, turn: 0 });
    expect(proof.clips.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.where?.clip).not.toBeNull();
    expect(keys).not.toContain(proof.where?.time);
    // Its normals are turned along.
    expect(proof.clips.turn).toBeGreaterThan(LARGEST_TURN);
  });

  it('a flipped normal', async () => {
    const proof = await proofOf({ normals: but(NORMALS, 21, 24, (was) => -was) });
    expect(proof.stored.turn).toBeCloseTo(180, 9);
    expect(proof.stored.turned).toMatchObject({ vertex: 7, clip: null });
    expect(proof.clips.turn).toBeCloseTo(180, 9);
    expect(proof.share).toBe(0);
  });

  it('a tangent that is turned, and one of the other hand', async () => {
    const turned = await proofOf({ tangents: but(TANGENTS, 20, 21, (x) => x + 0.01) });
    expect(turned.turned?.vertex).toBe(5);
    expect(turned.turn).toBeGreaterThan(0.1);
    const hand = await proofOf({ tangents: but(TANGENTS, 27, 28, (w) => -w) });
    expect([hand.turn, hand.turned?.vertex]).toEqual([180, 6]);
  });

  it('a morph target that moves a vertex elsewhere', async () => {
    const proof = await proofOf({ delta: but(DELTA, 28, 29, (y) => y + 0.05) });
    expect(proof.stored.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.stored.where).toMatchObject({ vertex: 9, target: 1 });
    expect(proof.clips.where).toMatchObject({ vertex: 9, target: 1 });
    expect(proof.turn).toBe(0);
  });

  it('a morph target that turns a normal elsewhere', async () => {
    const proof = await proofOf({ normalDelta: but(NORMAL_DELTA, 33, 34, (x) => x + 0.3) });
    expect(proof.stored.turn).toBeGreaterThan(1);
    expect(proof.stored.turned).toMatchObject({ vertex: 11, target: 1 });
    expect(proof.share).toBe(0);
  });

  it('another weight that a morph target is stored with', async () => {
    const proof = await proofOf({ weights: [0.5, 0] });
    expect(proof.stored.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.stored.where).toMatchObject({ clip: null, target: null });
    // Every clip gives it a weight of its own.
    expect(proof.clips).toMatchObject({ share: 0, turn: 0 });
  });

  it('another weight that a clip gives a morph target', async () => {
    const proof = await proofOf({ keys: KEYS.with(3, 0.7) });
    expect(proof.stored).toMatchObject({ share: 0, turn: 0 });
    expect(proof.clips.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.clips.where).toMatchObject({ time: 0.5, target: null });
  });

  it('another weight in a clip that moves no joint', async () => {
    const blink = (most: number): Uint8Array =>
      lookedAt({
        dress: (dresser) => {
          const { json, nodes } = dresser;
          const moving = json.animations ?? [];
          // `key` writes to the first clip.
          json.animations = [{ name: 'blink', samplers: [], channels: [] }];
          const output = dresser.accessor(Float32Array.of(0, 0, 0, most), 'SCALAR');
          const mesh = nodes.findIndex((node) => node.mesh === 0);
          dresser.key(mesh, 'weights', [0, 2], output, 'LINEAR');
          json.animations.unshift(...moving);
        },
      });
    const proof = await prove(blink(0.5), blink(0.6));
    expect(proof.stored).toMatchObject({ share: 0, turn: 0 });
    expect(proof.clips.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.clips.where).toMatchObject({ clip: 'blink', time: 2, target: null });
    expect(proof.poses).toBe(13);
  });

  it.each<[string, Unlike]>([
    ['a normal that is no number', { normals: but(NORMALS, 30, 31, () => Number.NaN) }],
    ['a normal of no length', { normals: but(NORMALS, 30, 33, () => 0) }],
    ['a tangent that is no number', { tangents: but(TANGENTS, 40, 41, () => Number.NaN) }],
  ])('%s where one was', async (_, unlike) => {
    const proof = await proofOf(unlike);
    expect([proof.stored.turn, proof.clips.turn]).toEqual([Infinity, Infinity]);
    expect([proof.turned?.vertex, proof.share]).toEqual([10, 0]);
    expect(isSeen(proof)).toBe(true);
  });

  it('a move of a morph target that is no number', async () => {
    const proof = await proofOf({ delta: but(DELTA, 27, 28, () => Number.NaN) });
    expect([proof.stored.share, proof.clips.share]).toEqual([Infinity, Infinity]);
    expect(proof.where).toMatchObject({ vertex: 9, target: 1 });
  });

  it('a key that is no number', async () => {
    const broken = await rewritten((edit) => {
      const sampler = edit.json.animations?.[0]?.channels.find(
        ({ target }) => target.path === 'rotation',
      )?.sampler;
      const user = { kind: 'output', animation: 0, sampler: sampler ?? -1 } as const;
      const values = Float32Array.from(edit.read(user) ?? []);
      values[0] = Number.NaN;
      edit.write(user, values);
    });
    // The reader refuses it before anything is proved.
    await expect(prove(sound, broken)).rejects.toThrow('the rotation of key 0 of a clip is NaN');
  });
});

it('refuses to compare what has other morph targets or no normals', async () => {
  const bare = await rewritten(({ json }) => {
    delete json.meshes?.[0]?.primitives[0]?.attributes.NORMAL;
  });
  await expect(prove(sound, bare)).rejects.toThrow('normals');
  const fewer = await rewritten(({ json }) => {
    json.meshes?.[0]?.primitives[0]?.targets?.pop();
  });
  await expect(prove(sound, fewer)).rejects.toThrow('had 2 morph targets, and has 1');
});

it('steps add up, unless they do not show the same poses', async () => {
  const [a, b] = [
    await prove(sound, await raised(40, 1e-4)),
    await prove(sound, await raised(41, 2e-4)),
  ];
  const both = summed([a, b]);
  expect(both?.share).toBe(a.share + b.share);
  expect(both?.stored.share).toBe(a.stored.share + b.stored.share);
  expect(both?.where?.vertex).toBe(41);
  expect(summed([a, { ...b, poses: b.poses + 1 }])).toBeNull();
  expect(summed([])).toBeNull();
});
