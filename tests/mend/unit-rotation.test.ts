// Source: glTF 2.0, 3.11 Animations and 5.25.8 node.rotation: rotations are unit quaternions. Lengths are worked
// out by whole numbers, without rounding.

import { join } from 'node:path';
import fc from 'fast-check';
import { Euler, Matrix4, Quaternion } from 'three';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { glb } from '../../fixtures/kit/containers.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { Editable } from '../../src/mend/file/editable.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { follow } from '../../src/mend/reframe/resample.js';
import { atMostUnit, keepUnits } from '../../src/mend/reframe/unit-rotation.js';
import { restPose } from '../../src/mend/repairs/rest-pose.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { splitGlb } from '../fixtures/read-back.js';
import { tempFolder } from '../support/temp-folder.js';
import { applyRepair } from './apply-repair.js';
import { BOLD } from './asked.js';
import { manyTargets } from './many-targets.js';

const SEED = 20_261_130;

/** Every float32 is a whole number of these. */
const LEAST = 2 ** 149;

/** Whether floats are longer than 1 by what a double can tell, by whole numbers. */
function isLonger(floats: ArrayLike<number>): boolean {
  const wholes = Array.from(floats, (part) => BigInt(part * LEAST));
  const one = BigInt(LEAST) ** 2n;
  return wholes.reduce((sum, part) => sum + part * part, 0n) > one + one / 2n ** 53n;
}

const part = fc.double({ min: -1, max: 1, noNaN: true }).map((value) => Math.fround(value));
const unit = fc
  .tuple(part, part, part, part)
  .filter((parts) => Math.hypot(...parts) > 1e-2)
  .map((parts) => new Quaternion(...parts).normalize());

/** Radians between two rotations that differ by little. */
function turnBetween(a: Quaternion, b: Quaternion): number {
  const { x, y, z } = a.clone().invert().multiply(b.clone().normalize());
  return 2 * Math.hypot(x, y, z);
}

describe('a rotation that is stored', () => {
  it('is never longer than 1, as floats or as it is, and turns as it did', () => {
    let longer = 0;
    fc.assert(
      fc.property(unit, fc.constantFrom(0, 1e-16, -1e-16, 3e-8, 1e-6), (whole, off) => {
        const parts = whole.toArray().map((value) => value * (1 + off));
        const [x = 0, y = 0, z = 0, w = 0] = parts;
        const stored = atMostUnit([x, y, z, w]);
        if (isLonger(Float32Array.from(parts))) longer++;
        expect(isLonger(Float32Array.from(stored))).toBe(false);
        expect(stored.reduce((sum, value) => sum + value * value, 0)).toBeLessThanOrEqual(1);
        // Two float32 units in the last place of the largest component.
        expect(turnBetween(whole, new Quaternion(...stored))).toBeLessThan(2.5e-7);
        expect(Math.hypot(...stored)).toBeGreaterThan(1 - 1.3e-6);
      }),
      { seed: SEED, numRuns: 2000 },
    );
    expect(longer).toBeGreaterThan(500);
  });

  it.each([[[0, 0, 0, 1]], [[0.5, -0.5, 0.5, 0.5]], [[0, -1, 0, 0]], [[0.6, 0, 0, 0.7]]] as const)(
    'stays as it is where it is not longer: %j',
    (rotation) => {
      expect(atMostUnit(rotation)).toEqual(rotation);
    },
  );

  it('stays as it is where it never was a unit', () => {
    for (const rotation of [
      [0, 0, 0, 1.001],
      [Number.NaN, 0, 0, 1],
    ] as const)
      expect(atMostUnit(rotation)).toEqual(rotation);
  });

  it('is shortened among keys, not among their tangents', () => {
    const long = Math.fround(1 + 2 ** -23);
    const plain = keepUnits(Float32Array.of(0, 0, 0, long, 0, long, 0, 0), false);
    expect([...plain]).toEqual([0, 0, 0, 1, 0, 1, 0, 0]);
    const key = [0, 0, 0, long];
    const cubic = keepUnits(Float32Array.from([key, key, key].flat()), true);
    expect([...cubic]).toEqual([0, 0, 0, long, 0, 0, 0, 1, 0, 0, 0, long]);
  });
});

it('is no longer than 1 in any key that a motion is followed by', () => {
  const keys = follow(
    (time) => {
      const turn = new Quaternion().setFromEuler(new Euler(time, 2 * time, 0.3 * time ** 2));
      return Float64Array.from(new Matrix4().makeRotationFromQuaternion(turn).toArray());
    },
    [0, 0.5, 1, 1.5, 2],
    1e-7,
    1,
  );
  const rotations = keys?.rotation ?? new Float32Array();
  expect(rotations.length).toBeGreaterThan(12 * 40);
  const values = Array.from({ length: rotations.length / 12 }, (_, key) =>
    rotations.subarray(12 * key + 4, 12 * key + 8),
  );
  expect(values.filter(isLonger)).toEqual([]);
});

describe('a mend', () => {
  /** The rotations of an asset: of nodes, and of keys, by the text of where they are. */
  async function rotationsOf(bytes: Uint8Array): Promise<Map<string, Float32Array>> {
    const edit = await Editable.fromBytes(bytes);
    const found = new Map<string, Float32Array>();
    edit.json.nodes?.forEach(({ rotation }, node) => {
      if (rotation !== undefined) found.set(`node ${node}`, Float32Array.from(rotation));
    });
    edit.json.animations?.forEach(({ channels, samplers }, animation) => {
      for (const { sampler, target } of channels) {
        if (target.path !== 'rotation') continue;
        const values = edit.read({ kind: 'output', animation, sampler });
        const isCubic = samplers[sampler]?.interpolation === 'CUBICSPLINE';
        const [step, skip] = isCubic ? [12, 4] : [4, 0];
        for (let at = skip; at < (values?.length ?? 0); at += step)
          found.set(
            `key ${at} of ${target.node}`,
            Float32Array.from(values?.slice(at, at + 4) ?? []),
          );
      }
    });
    return found;
  }

  it('that stores a rig in its bind pose stores no rotation that is longer than 1', async () => {
    // A marionette that waves as stored, in a clip that turns nothing but one joint.
    const fault = faultNamed('stored-in-a-wave');
    const { json, binary } = splitGlb(buildGlb(fault.puppet, { faults: [fault] }));
    json.animations?.forEach((clip) => void clip.channels.splice(1));
    const bytes = glb(JSON.stringify(json), binary);
    const mended = await applyRepair(bytes, restPose, { restFrom: 'bind' });
    const [before, after] = [await rotationsOf(bytes), await rotationsOf(mended.bytes)];
    const changed = [...after].filter(
      ([place, values]) => before.get(place)?.every((value, at) => value === values[at]) !== true,
    );
    expect(changed.some(([place]) => place.startsWith('key'))).toBe(true);
    expect(changed.some(([place]) => place.startsWith('node'))).toBe(true);
    expect(changed.filter(([, values]) => isLonger(values))).toEqual([]);
  });

  it('stores no rotation that is longer than 1', async () => {
    // Every frame is turned to another convention, and every joint has keys.
    const bytes = manyTargets({ copies: 1, targets: 0, keys: 30 });
    const path = join(tempFolder({ 'heron.glb': bytes }), 'heron.glb');
    const convention = {
      aim: { index: 0, sign: 1 },
      up: { index: 2, sign: 1 },
    } as const;
    const { files, offending, isTurned } = await mendAsset(path, defaultSettings(rules), REPAIRS, {
      ...{ convention, also: BOLD },
    });
    expect([offending, isTurned]).toEqual([null, true]);
    const [before, after] = [await rotationsOf(bytes), await rotationsOf(files.main)];
    const changed = [...after].filter(
      ([place, values]) => before.get(place)?.every((value, at) => value === values[at]) !== true,
    );
    expect(changed.length).toBeGreaterThan(400);
    expect(changed.filter(([, values]) => isLonger(values))).toEqual([]);
    // What was there before was rounded as it came.
    expect([...before.values()].filter(isLonger).length).toBeGreaterThan(50);
  });
});
