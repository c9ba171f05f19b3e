import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { Editable } from '../../src/mend/file/editable.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { Progress } from '../../src/mend/progress.js';
import { proveSame } from '../../src/mend/proof/proof.js';
import { Readings } from '../../src/mend/readings.js';
import type { Repair } from '../../src/mend/repair.js';
import { tempFolder } from '../support/temp-folder.js';
import { lookedAt, shown } from './proof-looks.js';

const nameless = lookedAt({
  dress: (dresser) => {
    delete dresser.node('shin_L').name;
  },
});

it('a watcher is told five times a second at most, of the step that is made', () => {
  const told: [string, number][] = [];
  let time = 0;
  const progress = new Progress(
    (step, share) => told.push([step, share]),
    () => time,
  );
  progress.begin('holders');
  for (let share = 0; share < 1; share += 0.01) {
    time += 10;
    progress.tell(share);
  }
  progress.begin('frames');
  expect(told.map(([step]) => step)).toEqual(Array.from({ length: 6 }, () => 'holders'));
  expect(told.map(([, share]) => Math.round(100 * share))).toEqual([0, 19, 39, 59, 79, 99]);
  time += 200;
  progress.begin('skin weights');
  expect(told.at(-1)).toEqual(['skin weights', 0]);
});

it('a proof tells after each pose of all how far it is', async () => {
  const { model, looks } = await shown(lookedAt());
  const told: number[] = [];
  const wanted = { aim: null, up: null };
  const { poses } = proveSame(model, model, [looks, looks], wanted, (share) => told.push(share));
  expect(told).toHaveLength(poses - 1);
  expect(told).toEqual([...told].sort((a, b) => a - b));
  expect(told[0]).toBeGreaterThan(0);
  expect(told.at(-1)).toBe(1);
});

it('a mend that takes its time tells its watcher what it is at', async () => {
  const slow: Repair = {
    ...{ name: 'slow naming', tells: '', rules: ['name.missing'] },
    mend({ edit, model }) {
      // As long as a watcher is not told anything.
      for (const end = performance.now() + 210; performance.now() < end; );
      const [rig] = model.rigs;
      const node = rig?.joints.node[rig.joints.named.indexOf(false)] ?? -1;
      Object.assign(edit.json.nodes?.[node] ?? {}, { name: 'shin_L' });
      const change = { rule: 'name.missing', place: 'heron', before: 'none', after: 'shin_L' };
      return { changes: [change], left: [] };
    },
  };
  const told: [string, number][] = [];
  const path = join(tempFolder({ 'heron.glb': nameless }), 'heron.glb');
  await mendAsset(path, defaultSettings(rules), [slow], {
    watch: (step, share) => told.push([step, share]),
  });
  expect(told).toContainEqual(['slow naming', expect.any(Number)]);
  expect(told.every(([, share]) => share >= 0 && share <= 1)).toBe(true);
});

it('files that are the same are read and proved once', async () => {
  const readings = new Readings(new Progress(undefined));
  const [edit, other] = [await Editable.fromBytes(nameless), await Editable.fromBytes(nameless)];
  const first = await readings.of(edit, '.');
  expect(await readings.of(other, '.')).toBe(first);
  Object.assign(other.json.nodes?.[0] ?? {}, { name: 'lantern' });
  const second = await readings.of(other, '.');
  expect(second).not.toBe(first);
  const wanted = { aim: null, up: null };
  const proof = readings.proof(first, second, wanted);
  expect(readings.proof(first, second, wanted)).toBe(proof);
  expect(readings.proof(second, first, wanted)).not.toBe(proof);
  const settings = defaultSettings(rules);
  const narrowed = readings.settingsFor(settings, ['axis.up']);
  expect(narrowed.rules.length).toBeLessThan(settings.rules.length);
  expect(readings.settingsFor(settings, ['axis.up'])).toBe(narrowed);
  expect(readings.settingsFor(settings, ['skin.sum'])).not.toBe(narrowed);
});
