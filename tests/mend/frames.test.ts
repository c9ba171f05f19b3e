// Sources: three.js (npm `three`): its GLTFLoader, AnimationMixer and skinning, which pose the original
// and the mended file; hands of npm `@webxr-input-profiles/assets`. glTF 2.0: 3.7.3 Skins, Appendix C.
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed, faults } from '../../fixtures/faults/index.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { Axis } from '../../src/measure/facts.js';
import { Editable } from '../../src/mend/file/editable.js';
import { glbOf } from '../../src/mend/file/pack-files.js';
import { LARGEST_SHIFT, type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { proveSame } from '../../src/mend/proof/proof.js';
import { reload } from '../../src/mend/proof/reload.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import type { Quaternion } from '../../src/rig/quaternion.js';
import { reference } from '../page/posed-in-three.js';
import { modelOf } from '../support/facts-of.js';
import { tempFolder } from '../support/temp-folder.js';
import { turnFrames } from './turn-frames.js';

const settings = defaultSettings(rules);
const AXIS = ['axis.aim', 'axis.uniform', 'axis.up', 'axis.end', 'axis.mirror', 'axis.curl'];
/** Of size: float32 storage of places and matrices, in two programs. */
const SEEN_IN_THREE = 1e-5;

async function mend(bytes: Uint8Array, ...convention: [Axis, Axis] | []): Promise<MendResult> {
  const path = join(tempFolder({ 'rig.glb': bytes }), 'rig.glb');
  const [aim, up] = convention;
  return mendAsset(path, settings, [turnedFrames], {
    convention: aim && up ? { aim, up } : null,
  });
}

/** Largest distance of any vertex in any pose, as three.js shows the two files. Share of size. */
async function apartInThree(a: Uint8Array, b: Uint8Array): Promise<number> {
  const model = await modelOf(a);
  let most = 0;
  for (const rig of model.rigs) {
    const [before, after] = [await reference(a, rig.index), await reference(b, rig.index)];
    const compare = (): void => {
      rig.parts.forEach((_, part) => {
        const [p, q] = [before.positions(part), after.positions(part)];
        expect(q.length).toBe(p.length);
        p.forEach((value, i) => {
          most = Math.max(most, Math.abs(value - (q[i] ?? Number.NaN)));
        });
      });
    };
    compare();
    for (const [clip, { channels }] of rig.clips.entries())
      for (const time of [0, 0.3, 0.77].map((share) => share * (channels[0]?.times.at(-1) ?? 0))) {
        before.play(clip, time);
        after.play(clip, time);
        compare();
      }
  }
  return most;
}

describe('frames', () => {
  const axisFaults = faults.filter(({ rule }) => AXIS.includes(rule));
  it('there are faults of every rule that is mended', () => {
    for (const rule of AXIS)
      expect([rule, axisFaults.some((fault) => fault.rule === rule)]).toEqual([rule, true]);
  });

  it.each(axisFaults.map((fault) => [fault.name, fault] as const))(
    '%s is mended, and three.js shows the same before and after',
    async (_, fault) => {
      const bytes = buildGlb(fault.puppet, { faults: [fault] });
      const { before, after, changes, offending, proof, files } = await mend(bytes);
      const axis = ({ findings }: typeof before): string[] =>
        findings.map(({ rule }) => rule).filter((rule) => AXIS.includes(rule));
      expect(axis(before)).toContain(fault.rule);
      expect([axis(after), offending]).toEqual([[], null]);
      expect(changes.length).toBeGreaterThan(0);
      expect(proof.share).toBeLessThan(LARGEST_SHIFT / 10);
      expect(await apartInThree(bytes, files.main)).toBeLessThan(SEEN_IN_THREE);
      // Mending what is mended changes nothing, and the same file gives the same bytes.
      const again = await mend(files.main);
      expect(again.changes).toEqual([]);
      expect(Buffer.from(again.files.main).equals(Buffer.from(files.main))).toBe(true);
      expect(Buffer.from((await mend(bytes)).files.main).equals(Buffer.from(files.main))).toBe(
        true,
      );
    },
    30_000,
  );

  it('a sound rig is left as it is, to the byte', async () => {
    for (const name of castNames) {
      const bytes = buildGlb(name);
      const { changes, files } = await mend(bytes);
      expect([name, changes]).toEqual([name, []]);
      expect(Buffer.from(files.main).equals(Buffer.from(bytes))).toBe(true);
    }
  });
});

describe('any turn of any joints', () => {
  const turn = fc
    .tuple(
      fc.double({ min: -1, max: 1, noNaN: true }),
      fc.double({ min: -1, max: 1, noNaN: true }),
      fc.double({ min: -1, max: 1, noNaN: true }),
      fc.double({ min: 0.05, max: 1, noNaN: true }),
    )
    .map(([x, y, z, w]): Quaternion => {
      const length = Math.hypot(x, y, z, w);
      return [x / length, y / length, z / length, w / length];
    });
  const storage: fc.Arbitrary<BuildOptions> = fc.record({
    weights: fc.constantFrom('float', 'u8', 'u16'),
    positions: fc.constantFrom('float', 'quantised'),
  });

  it('shows nothing, in any storage, at rest and in all clips', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...castNames),
        storage,
        fc.array(turn, { minLength: 1, maxLength: 12 }),
        async (name, options, turns) => {
          const bytes = buildGlb(name, options);
          const model = await modelOf(bytes);
          const edit = await Editable.fromBytes(bytes);
          const nodes = model.rigs.flatMap(({ joints }) => [...joints.node]);
          turnFrames(
            { edit, model },
            new Map(turns.map((item, at) => [nodes[(7 * at) % nodes.length] ?? 0, item])),
          );
          const proof = proveSame(model, buildRigs(await reload(edit.files(), null)));
          expect(proof.share).toBeLessThan(1e-6);
          expect(proof.poses).toBeGreaterThan(model.rigs.length);
        },
      ),
      { numRuns: 40, seed: 6 },
    );
  }, 60_000);

  it('the proof tells of a vertex that moves, where and when', async () => {
    const bytes = buildGlb('heron');
    const model = await modelOf(bytes);
    const edit = await Editable.fromBytes(bytes);
    const [node] = edit.json.nodes?.filter(({ name }) => name === 'head') ?? [];
    if (node === undefined) throw new Error('no head');
    node.translation = (node.translation ?? [0, 0, 0]).map((value) => value + 0.01);
    const proof = proveSame(model, buildRigs(await reload(edit.files(), null)));
    expect(proof.share).toBeGreaterThan(1e-3);
    expect(proof.where?.part).toContain('heron');
  });
});

it('a vertex without a place before is no reason against a mend, one that loses its place is', async () => {
  const broken = buildGlb('heron', {
    faults: ['weight-not-a-number', 'flipped-shin'].map(faultNamed),
  });
  const { offending, changes } = await mend(broken);
  expect([offending, changes.length]).toEqual([null, 1]);
  const [before, after] = [await modelOf(buildGlb('heron')), await modelOf(broken)];
  expect(proveSame(before, after).share).toBe(Infinity);
});

describe('a whole rig, turned to another convention', () => {
  const X: Axis = { index: 0, sign: 1 };
  const Y: Axis = { index: 1, sign: 1 };
  const Z: Axis = { index: 2, sign: 1 };

  it.each(castNames)(
    '%s from +Y/+Z to +X/+Y is what a standard asks for, and back it is the same within float32',
    async (name) => {
      const bytes = buildGlb(name);
      const there = await mend(bytes, X, Y);
      expect(there.changes.map(({ before, after }) => `${before} > ${after}`)[0]).toMatch(
        /^aim \+Y, up \+Z > aim \+X, up \+Y on \d+ joints$/,
      );
      expect(await apartInThree(bytes, there.files.main)).toBeLessThan(SEEN_IN_THREE);
      const { rigs } = there.after;
      expect(rigs[0]?.conventions.aim?.middle).toBe('+X');
      expect(rigs[0]?.conventions.up).toBe('+Y');
      const back = await mend(there.files.main, Y, Z);
      const [first, last] = [
        await Editable.fromBytes(bytes),
        await Editable.fromBytes(back.files.main),
      ];
      first.json.nodes?.forEach((node, index) => {
        const other = last.json.nodes?.[index];
        (node.translation ?? [0, 0, 0]).forEach((value, i) => {
          expect(other?.translation?.[i] ?? 0).toBeCloseTo(value, 6);
        });
        const [p, q] = [node.rotation ?? [0, 0, 0, 1], other?.rotation ?? [0, 0, 0, 1]];
        // A quaternion and its negative are one turn.
        const cosine = p.reduce((sum, value, i) => sum + value * (q[i] ?? 0), 0);
        expect(Math.abs(cosine)).toBeCloseTo(1, 6);
      });
      first.json.skins?.forEach((_, skin) => {
        const [p, q] = [first, last].map((edit) => [
          ...(edit.read({ kind: 'inverse bind', skin }) ?? []),
        ]);
        expect(q?.length).toBe(p?.length);
        for (const [i, value] of (p ?? []).entries()) expect(q?.[i]).toBeCloseTo(value, 5);
      });
    },
    30_000,
  );

  it('published hands keep every vertex where it was, as three.js shows it', async () => {
    const folder = join(
      createRequire(import.meta.url).resolve('@webxr-input-profiles/assets/package.json'),
      '../dist/profiles/generic-hand',
    );
    for (const side of ['left', 'right']) {
      const bytes = readFileSync(join(folder, `${side}.glb`));
      const { changes, files, offending } = await mend(bytes, X, Y);
      expect([side, offending]).toEqual([side, null]);
      if (changes.length > 0)
        expect(await apartInThree(bytes, files.main)).toBeLessThan(SEEN_IN_THREE);
    }
  }, 30_000);
});

describe('what a mend does not concern', () => {
  it('stays: extras, unknown extensions, key order, materials, textures and other bytes', async () => {
    const built = build('heron', {
      faults: [faultNamed('flipped-shin')],
      container: 'gltf-embedded',
    });
    const json = JSON.parse(Buffer.from(built.files.get(built.main) ?? '').toString()) as Record<
      string,
      unknown
    >;
    const dressed = {
      zebra: 1,
      ...json,
      extensionsUsed: ['OURS_lantern'],
      extensions: { OURS_lantern: { wick: [1, 2, 3] } },
      extras: { note: 'hang it by the window' },
      materials: [{ name: 'hide', extras: { grain: 'fine' } }],
      images: [{ uri: 'data:image/png;base64,iVBORw0KGgo=' }],
      textures: [{ source: 0 }],
    };
    const cwd = tempFolder({ 'rig.gltf': JSON.stringify(dressed, null, 2) });
    const { files, changes } = await mendAsset(join(cwd, 'rig.gltf'), settings, [turnedFrames]);
    expect(changes.length).toBe(1);
    const after = JSON.parse(Buffer.from(files.main).toString()) as Record<string, unknown>;
    expect(Object.keys(after)).toEqual(Object.keys(dressed));
    for (const key of [
      'zebra',
      'extensions',
      'extras',
      'materials',
      'images',
      'textures',
      'meshes',
      'accessors',
      'bufferViews',
    ])
      expect([key, after[key]]).toEqual([key, (dressed as Record<string, unknown>)[key]]);
    // Indented as it was.
    expect(Buffer.from(files.main).toString().startsWith('{\n  "zebra": 1,\n')).toBe(true);
  });

  it('external buffers that did not change are left alone, one that did is given by its name', async () => {
    const built = build('heron', {
      faults: [faultNamed('flipped-shin')],
      container: 'gltf-external',
    });
    const cwd = tempFolder(Object.fromEntries(built.files));
    const { files } = await mendAsset(join(cwd, built.main), settings, [turnedFrames]);
    const [uri = '', bytes = new Uint8Array()] = [...files.buffers][0] ?? [];
    const original = readFileSync(join(cwd, uri));
    expect(bytes.byteLength).toBe(original.byteLength);
    expect(Buffer.from(bytes).equals(original)).toBe(false);
    writeFileSync(join(cwd, uri), bytes);
    writeFileSync(join(cwd, built.main), files.main);
    const again = await mendAsset(join(cwd, built.main), settings, [turnedFrames]);
    expect(again.before.findings).toEqual([]);
  });

  it('a file whose extension takes translations for numbers is refused by its name', async () => {
    const built = build('heron', { container: 'gltf-embedded' });
    const json = JSON.parse(Buffer.from(built.files.get(built.main) ?? '').toString()) as object;
    const cwd = tempFolder({
      'rig.gltf': JSON.stringify({ ...json, extensionsUsed: ['VRMC_vrm_animation'] }),
    });
    await expect(mendAsset(join(cwd, 'rig.gltf'), settings, [turnedFrames])).rejects.toThrow(
      'VRMC_vrm_animation',
    );
  });
});

describe('odd files', () => {
  interface Json {
    buffers: { uri?: string; byteLength: number }[];
    bufferViews: { buffer: number; byteOffset?: number; byteLength: number }[];
    accessors: { bufferView: number }[];
    nodes: { name?: string; camera?: number; rotation?: number[]; children?: number[] }[];
    animations: {
      channels: { sampler: number; target: { node: number; path: string } }[];
      samplers: { input: number; output: number }[];
    }[];
    scenes: { nodes: number[] }[];
    cameras?: unknown[];
    extensionsUsed?: string[];
  }

  async function mendJson(
    change: (json: Json) => void,
  ): Promise<{ before: Json; result: MendResult; text: string }> {
    const built = build('heron', {
      faults: [faultNamed('rolled-neck')],
      container: 'gltf-embedded',
    });
    // What the kit builds has all of this.
    const json = JSON.parse(Buffer.from(built.files.get(built.main) ?? '').toString()) as Json;
    change(json);
    const text = JSON.stringify(json);
    const path = join(tempFolder({ 'rig.gltf': text }), 'rig.gltf');
    return { before: json, result: await mendAsset(path, settings, [turnedFrames]), text };
  }

  it.each([
    ['a camera', (node: object) => Object.assign(node, { camera: 0 })],
    [
      'a light',
      (node: object) => Object.assign(node, { extensions: { KHR_lights_punctual: { light: 0 } } }),
    ],
    [
      'data of OURS_lantern',
      (node: object) => Object.assign(node, { extensions: { OURS_lantern: { axis: [0, 0, 1] } } }),
    ],
  ])('a joint that carries %s is left alone, since that would turn along', async (words, put) => {
    const { result } = await mendJson((json) => {
      json.cameras = [{ type: 'perspective', perspective: { yfov: 1, znear: 0.1 } }];
      put(json.nodes.find(({ name }) => name === 'neck_mid') ?? {});
    });
    expect(result.changes).toEqual([]);
    expect(result.left[0]?.why).toContain(`it carries ${words}, which would look different; `);
  });

  it('bytes that another view shows too are not written over', async () => {
    const { before, result } = await mendJson((json) => {
      const joint = json.nodes.findIndex(({ name }) => name === 'neck_mid');
      const lantern = json.nodes.push({ name: 'lantern' }) - 1;
      json.scenes[0]?.nodes.push(lantern);
      const [clip] = json.animations;
      const turned =
        clip?.channels.find(({ target }) => target.path === 'rotation' && target.node === joint) ??
        clip?.channels.find(({ target }) => target.path === 'rotation');
      if (clip === undefined || turned === undefined) throw new Error('no clip');
      turned.target.node = joint;
      const sampler = clip.samplers[turned.sampler];
      const accessor = json.accessors[sampler?.output ?? 0];
      const view = json.bufferViews[accessor?.bufferView ?? 0];
      if (sampler === undefined || accessor === undefined || view === undefined)
        throw new Error('no keys');
      const twin = json.bufferViews.push({ ...view }) - 1;
      const output = json.accessors.push({ ...accessor, bufferView: twin }) - 1;
      clip.channels.push({
        sampler: clip.samplers.push({ ...sampler, output }) - 1,
        target: { node: lantern, path: 'rotation' },
      });
    });
    expect(result.changes.length).toBe(1);
    const after = JSON.parse(Buffer.from(result.files.main).toString()) as Json;
    const keysOf = (json: Json): Buffer => {
      const { output = 0 } = json.animations[0]?.samplers.at(-1) ?? {};
      const view = json.bufferViews[json.accessors[output]?.bufferView ?? 0];
      const bytes = Buffer.from(
        json.buffers[view?.buffer ?? 0]?.uri?.split(',')[1] ?? '',
        'base64',
      );
      return bytes.subarray(
        view?.byteOffset ?? 0,
        (view?.byteOffset ?? 0) + (view?.byteLength ?? 0),
      );
    };
    expect(keysOf(after).equals(keysOf(before))).toBe(true);
  });

  it('a skeleton without buffers, and a GLB whose buffer is a file, are mended like any', async () => {
    const nodes = ['a', 'b', 'c', 'd', 'e', 'f'].map((name, at) => ({
      name,
      translation: [0, 1, 0],
      ...(at < 5 ? { children: [at + 1] } : {}),
    }));
    const bare = {
      asset: { version: '2.0' },
      scene: 0,
      scenes: [{ nodes: [0] }],
      nodes,
      skins: [{ joints: [0, 1, 2, 3, 4, 5] }],
    };
    const cwd = tempFolder({ 'bare.gltf': JSON.stringify(bare) });
    const turned = await mendAsset(join(cwd, 'bare.gltf'), settings, [turnedFrames], {
      convention: { aim: { index: 0, sign: 1 }, up: { index: 1, sign: 1 } },
    });
    expect([turned.changes.length, turned.offending]).toEqual([1, null]);
    expect(turned.after.rigs[0]?.conventions.aim?.middle).toBe('+X');

    const built = build('heron', {
      faults: [faultNamed('flipped-shin')],
      container: 'gltf-external',
    });
    const glb = glbOf(Buffer.from(built.files.get(built.main) ?? '').toString(), null);
    const folder = tempFolder({ ...Object.fromEntries(built.files), 'rig.glb': glb });
    const { after, files } = await mendAsset(join(folder, 'rig.glb'), settings, [turnedFrames]);
    expect(after.findings).toEqual([]);
    expect(files.buffers.size).toBe(1);
  });
});
