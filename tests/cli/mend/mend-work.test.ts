import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { rules } from '../../../rules/index.js';
import { defaultSettings, plainSettings } from '../../../src/check/settings.js';
import type { MendStep } from '../../../src/cli/mend/mend-progress.js';
import type { MendTask } from '../../../src/cli/mend/mend-task.js';
import { mendWithin } from '../../../src/cli/mend/mend-work.js';
import { loadFromSource } from '../../support/own-modules.js';
import { tempFolder } from '../../support/temp-folder.js';

function taskIn(cwd: string): MendTask {
  return {
    path: join(cwd, 'heron.glb'),
    name: 'heron.glb',
    settings: plainSettings(defaultSettings(rules)),
    approved: null,
    standard: null,
    choices: {
      only: null,
      skip: [],
      also: [],
      allow: [],
      resample: false,
      pack: false,
      restFrom: null,
      convention: null,
    },
    place: {
      way: 'folder',
      target: join(cwd, 'out/heron.glb'),
      shown: 'out/heron.glb',
      replace: false,
      sound: 'leave',
      stem: null,
      shared: [],
    },
    ledger: { named: false, cwd, now: new Date() },
    columns: null,
    isQuiet: false,
  };
}

const heron = buildGlb('heron', { faults: ['flipped-shin', 'crooked-neck'].map(faultNamed) });

it('a mend tells which step it is at, and is given up with nothing written once its time is over', async () => {
  const cwd = tempFolder({ 'heron.glb': heron });
  const told: MendStep[] = [];
  const late = await mendWithin(taskIn(cwd), 0.001, loadFromSource, (step) => told.push(step));
  expect(late.record).toMatchObject({
    outcome: 'unreadable',
    why: 'mending it takes longer than the limit of 0.001 s; set another limit with --time-limit',
  });
  expect([told, readdirSync(cwd)]).toEqual([[], ['heron.glb']]);
  const done = await mendWithin(taskIn(cwd), 60, loadFromSource, (step) => told.push(step));
  expect(done.record).toMatchObject({ outcome: 'written', out: 'out/heron.glb' });
  expect(told[0]).toEqual({ name: 'heron.glb', step: expect.any(String), share: 0 });
  // What goes from process to process.
  expect(structuredClone(done)).toEqual(done);
});

it('a file that another program changes during its mend is not written over', async () => {
  const cwd = tempFolder({ 'heron.glb': heron });
  const task = taskIn(cwd);
  const place = { way: 'in-place', target: task.path, shown: 'heron.glb' } as const;
  const { record } = await mendWithin(
    { ...task, place: { replace: false, sound: 'leave', stem: null, shared: [], ...place } },
    60,
    loadFromSource,
    () => writeFileSync(task.path, 'newer'),
  );
  expect(record).toMatchObject({
    outcome: 'failed',
    why: 'heron.glb was changed by another program during the mend, and was not overwritten; run the command again',
  });
  expect([readdirSync(cwd), readFileSync(task.path, 'utf8')]).toEqual([['heron.glb'], 'newer']);
});
