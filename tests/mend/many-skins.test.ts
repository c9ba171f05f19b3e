import { expect, it, vi } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { Editable } from '../../src/mend/file/editable.js';
import { inverseBindOf, takeBackFrames } from '../../src/mend/file/inverse-bind.js';

const counted = vi.hoisted(() => ({ calls: 0 }));
vi.mock('../../src/mend/json/accessor-users.js', async (original) => {
  const own = await original<typeof import('../../src/mend/json/accessor-users.js')>();
  return {
    ...own,
    countUsers: (...of: Parameters<typeof own.countUsers>) => {
      counted.calls++;
      return own.countUsers(...of);
    },
  };
});

const SKINS = 30;
/** Twice as large, column-major. */
const TWICE = Float64Array.of(2, 0, 0, 0, 0, 2, 0, 0, 0, 0, 2, 0, 0, 0, 0, 1);

it('the file is not gone through for every skin that takes a frame back', async () => {
  const puppet = raisePuppet('heron');
  puppet.edits.push((json) => {
    const [skin] = json.skins ?? [];
    for (let more = 1; more < SKINS; more++) if (skin !== undefined) json.skins?.push({ ...skin });
  });
  const edit = await Editable.fromBytes(mainFile(buildPuppet(puppet)));
  const before = inverseBindOf(edit, 0);
  const [joint = -1] = edit.json.skins?.[0]?.joints ?? [];
  counted.calls = 0;
  takeBackFrames(edit, new Map([[joint, TWICE]]));
  expect(counted.calls).toBe(1);
  for (let skin = 0; skin < SKINS; skin++) {
    const after = inverseBindOf(edit, skin);
    expect(after[0]).toBeCloseTo((before[0] ?? 0) / 2, 6);
    expect([...after.subarray(16)]).toEqual([...before.subarray(16)]);
  }
});
