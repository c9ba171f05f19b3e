import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { sceneBinds } from '../../src/draw/make-scene.js';
import { packScene } from '../../src/page/pack.js';
import { rigOf } from '../support/facts-of.js';
import { drawable } from './drawn.js';

it('in place of a bind matrix that holds no numbers stands the one that leaves the skin where it is', async () => {
  // The heron is stored in its bind pose: what leaves its skin alone is what its file holds.
  const rig = await rigOf(buildGlb('heron'));
  const [skin] = rig.skins;
  if (skin === undefined) throw new Error('the heron has a skin');
  const spoilt = skin.inverseBind.slice();
  spoilt[16 * 3 + 12] = Number.NaN;
  spoilt.fill(Infinity, 16 * 5, 16 * 6);
  const usable = sceneBinds(rig, { ...skin, inverseBind: spoilt });
  const off = usable.map((value, at) => Math.abs(value - (skin.inverseBind[at] ?? 0)));
  // The file holds 32-bit floats; the heron is some metres large.
  expect(Math.max(...off)).toBeLessThan(1e-5);
});

it('the viewer is handed numbers only', async () => {
  const { scene } = await drawable(
    buildGlb('heron', { faults: [faultNamed('bind-matrix-not-a-number')] }),
  );
  const { rigs } = await packScene(scene);
  const binds = rigs.flatMap(({ skins }) => skins.map(({ inverseBind }) => inverseBind.base64));
  expect(binds).toHaveLength(1);
  const bytes = Uint8Array.from(Buffer.from(binds[0] ?? '', 'base64'));
  const numbers = new Float32Array(bytes.buffer);
  expect(numbers.length).toBeGreaterThan(0);
  expect([...numbers].every(Number.isFinite)).toBe(true);
});
