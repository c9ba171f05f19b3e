// The harness of `mended-rigs.ts` on fixtures: it is to see whatever is moved. What it goes by is three.js.
import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { Editable } from '../../src/mend/file/editable.js';
import { packed } from '../mend/pack-fixture.js';
import { DELTA, lookedAt } from '../mend/proof-looks.js';
import { breaches, FARTHEST_SHARE, type MendedRow, mendRow } from '../support/mended-table.js';
import { asOneGlb } from '../support/one-glb.js';
import { tempFolder } from '../support/temp-folder.js';
import { farApart } from '../support/three-apart.js';

const sound = lookedAt();

async function changed(change: (edit: Editable) => void): Promise<Uint8Array> {
  const edit = await Editable.fromBytes(sound);
  change(edit);
  return edit.files().main;
}

describe('what three.js is shown', () => {
  it('is no different from itself', async () => {
    const { share, where, vertices, clips } = await farApart(sound, sound);
    expect([share, where, vertices, clips]).toEqual([0, '', 1450, 1]);
  });

  it('is a vertex that moved by little more than is allowed', async () => {
    const moved = await changed((edit) => {
      const user = { kind: 'attribute', mesh: 0, primitive: 0, name: 'POSITION' } as const;
      const values = Float32Array.from(edit.read(user) ?? []);
      values[3 * 40 + 1] = (values[3 * 40 + 1] ?? 0) + 1e-4;
      edit.write(user, values);
    });
    const { share, where } = await farApart(sound, moved);
    // The heron is some 2 m large.
    expect(share).toBeGreaterThan(2e-5);
    expect(share).toBeLessThan(1e-4);
    expect(where).toMatch(/^vertex 40 of heron/);
  });

  it('is a morph target that moves a vertex elsewhere', async () => {
    const moved = lookedAt({ delta: (at) => DELTA(at) + (at === 28 ? 1e-3 : 0) });
    const { share, where } = await farApart(sound, moved);
    expect(share).toBeGreaterThan(FARTHEST_SHARE);
    expect(where).toMatch(/^vertex 9 of .* at rest with morph target 1$/);
  });

  it('is a key that turns a joint elsewhere', async () => {
    const moved = await changed((edit) => {
      const channel = edit.json.animations?.[0]?.channels.find(
        ({ target }) => target.path === 'rotation',
      );
      const user = { kind: 'output', animation: 0, sampler: channel?.sampler ?? -1 } as const;
      const values = Float32Array.from(edit.read(user) ?? [], (value) => value);
      values[4] = (values[4] ?? 0) + 0.01;
      edit.write(user, values);
    });
    const { share, where } = await farApart(sound, moved);
    expect(share).toBeGreaterThan(FARTHEST_SHARE);
    expect(where).toContain(' of clip "');
  });

  it('is a plain mesh that hangs elsewhere, and meshes that are gone are an error', async () => {
    const hung = (height: number): Uint8Array =>
      lookedAt({
        dress: (dresser) => {
          const mesh = dresser.plainMesh();
          dresser.hang('shin_L', { name: 'lantern', translation: [0, height, 0], mesh });
        },
      });
    expect((await farApart(hung(0.1), hung(0.11))).share).toBeGreaterThan(FARTHEST_SHARE);
    await expect(farApart(hung(0.1), sound)).rejects.toThrow('the same meshes');
  });

  it('is the same of every container and packing', async () => {
    const bytes = buildGlb('heron');
    for (const container of ['gltf-embedded', 'gltf-external'] as const) {
      const { files, main } = build('heron', { container });
      const stored = (name: string): Uint8Array => files.get(name) ?? new Uint8Array();
      expect((await farApart(bytes, asOneGlb(stored(main), stored))).share).toBe(0);
    }
    for (const packing of ['meshopt', 'draco, in order'] as const) {
      const small = asOneGlb(await packed(bytes, packing), () => new Uint8Array());
      const { share, vertices } = await farApart(bytes, small);
      // Draco rounds places.
      expect(share).toBeLessThan(1e-3);
      expect(vertices).toBe(1450);
    }
  });
});

describe('a row of the table', () => {
  it('tells of a mend, and of what breaks its promise', async () => {
    const folder = tempFolder({
      'heron.glb': buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
    });
    const row = await mendRow(folder, 'heron.glb', 'default');
    expect(row).toMatchObject({
      verdicts: 'unsound > sound',
      levels: '1/0/0 > 0/0/0',
      changes: 1,
      ...{ refused: null, worse: [], allowed: [] },
    });
    const { apart } = row;
    if (typeof apart === 'string') throw new Error(apart);
    expect(apart.vertices).toBeGreaterThan(1000);
    expect(apart.share).toBeGreaterThan(0);
    expect(breaches(row, 'default')).toEqual([]);
    const broken: MendedRow = {
      ...{ ...row, seconds: 31, worse: ['bring up axis.up'], refused: 'refused: holders' },
      apart: { ...apart, share: 2e-5, where: 'vertex 3' },
    };
    const words = ['vertex 3 is 2.0e-5 of size off', 'took 31 s'];
    expect(breaches(broken, 'default')).toEqual([
      ...words,
      'would bring up axis.up',
      'refused: holders',
    ]);
    expect(breaches(broken, 'everything')).toEqual(words);
    expect(breaches({ ...broken, allowed: ['skin.sum'] }, 'everything')).toEqual(['took 31 s']);
    const nowhere = { ...apart, share: Number.NaN, where: 'vertex 4' };
    expect(breaches({ ...row, apart: nowhere }, 'default')).toHaveLength(1);
  });

  it('tells of weights that three.js does not read', async () => {
    const twice = await changed(({ json }) => {
      const [primitive] = json.meshes?.[0]?.primitives ?? [];
      const { JOINTS_0 = 0, WEIGHTS_0 = 0 } = primitive?.attributes ?? {};
      Object.assign(primitive?.attributes ?? {}, { JOINTS_1: JOINTS_0, WEIGHTS_1: WEIGHTS_0 });
    });
    const row = await mendRow(tempFolder({ 'heron.glb': twice }), 'heron.glb', 'default');
    expect(row.apart).toBe('three.js reads four joints a vertex, and this has more');
  });

  it('tells of a file that cannot be read', async () => {
    const folder = tempFolder({ 'mule.glb': 'no rig' });
    const row = await mendRow(folder, 'mule.glb', 'default');
    expect(row.refused).not.toBeNull();
    expect(row.apart).toBe('nothing was mended');
    expect(breaches(row, 'default')).toEqual([]);
  });
});
