// Source: three.js (npm `three`): `GLTFLoader`, `Skeleton.boneInverses`, `Matrix4.decompose` and
// `Quaternion.angleTo`. The two hands come from npm `@webxr-input-profiles/assets`, profile
// generic-hand; nobody here made them.
import { type Matrix4, Quaternion, type Skeleton, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import { times } from '../../fixtures/kit/vectors.js';
import { type Difference, differences } from '../../src/measure/fit/differences.js';
import { approvedOf } from '../support/check-built.js';
import { factsOf } from '../support/facts-of.js';
import { HAND_SIDES, handBytes } from '../support/hands.js';
import { randomFrom } from '../support/permuted.js';
import { loadInThree } from '../support/three-scene.js';

/** What float32 leaves of an angle between two products of stored matrices. Degrees. */
const SAME_ANGLE = 0.02;
/** Of a bone's length. */
const SAME_LENGTH = 1e-4;

const LARGER = 4 / 3;

/** How a joint was bound against its parent. */
interface Bound {
  readonly turn: Quaternion;
  readonly length: number;
}

/** By name, which is one joint's alone in each of these rigs. */
async function boundInThree(bytes: Uint8Array): Promise<ReadonlyMap<string, Bound>> {
  const { meshes } = await loadInThree(bytes);
  const bound = new Map<string, Bound>();
  for (const skeleton of new Set(meshes.map(({ object }) => object.skeleton)))
    for (const bone of skeleton.bones) {
      const [own, above] = [
        builtWorld(skeleton, bone.name),
        builtWorld(skeleton, bone.parent?.name),
      ];
      if (own === null || above === null) continue;
      const [place, turn, size] = [new Vector3(), new Quaternion(), new Vector3()];
      above.clone().invert().multiply(own).decompose(place, turn, size);
      bound.set(bone.name, { turn, length: place.length() });
    }
  return bound;
}

function builtWorld(skeleton: Skeleton, name: string | undefined): Matrix4 | null {
  const at = skeleton.bones.findIndex((bone) => bone.name === name);
  return skeleton.boneInverses[at]?.clone().invert() ?? null;
}

async function compared(approved: Uint8Array, own: Uint8Array) {
  const asset = await approvedOf(approved);
  const facts = await factsOf(own);
  const [rig = null] = asset.model.rigs;
  const { list } = differences({ ...facts, approved: { asset, rig, by: null, unanswered: [] } });
  const name = (joint: number): string => facts.rig.joints.names[joint] ?? '';
  const byName = new Map(list.map((each): [string, Difference] => [name(each.joint), each]));
  return { byName, parentOf: ({ against }: Difference) => byName.get(name(against)) };
}

/** Degrees of b_A^-1 b_C. */
function angleInThree(a: Bound | undefined, c: Bound | undefined): number {
  return a && c ? (a.turn.angleTo(c.turn) * 180) / Math.PI : Number.NaN;
}

/** A puppet a third of whose frames are turned in place, by up to 180 degrees. */
function turnedPuppet(name: CastName, seed: number) {
  const puppet = raisePuppet(name);
  const random = randomFrom(seed);
  const turned: string[] = [];
  for (const { name: joint, parent } of puppet.joints) {
    // One in a row at most: below a turned frame, the next angle is that of both turns.
    if (parent === null || turned.includes(parent) || random() > 1 / 3) continue;
    for (const axis of ['X', 'Y', 'Z'] as const)
      puppet.turnFrame(joint, axis, 60 * (2 * random() - 1));
    turned.push(joint);
  }
  return { bytes: mainFile(buildPuppet(puppet)), turned };
}

describe.each(castNames)('frames of the %s that are turned in place', (name) => {
  test('are turned by the angle of b_A^-1 b_C in three.js, and no others are', async () => {
    const sound = mainFile(buildPuppet(raisePuppet(name)));
    const { bytes, turned } = turnedPuppet(name, 3);
    const [a, c] = [await boundInThree(sound), await boundInThree(bytes)];
    const { byName, parentOf } = await compared(sound, bytes);
    expect(turned.length).toBeGreaterThan(2);
    for (const [joint, difference] of byName) {
      const angle = angleInThree(a.get(joint), c.get(joint));
      // The topmost joint has no parent to be measured against.
      if (Number.isNaN(angle)) continue;
      const isCause = turned.includes(joint);
      if (isCause) expect(Math.abs(difference.degrees - angle)).toBeLessThan(SAME_ANGLE);
      else {
        expect(difference.degrees).toBeLessThan(SAME_ANGLE);
        // What three.js measures there is what its parent is turned by.
        const above = parentOf(difference)?.degrees ?? 0;
        expect(Math.abs(angle - above)).toBeLessThan(SAME_ANGLE);
      }
    }
  });
});

test.each(HAND_SIDES)('a published %s hand fits itself', async (side) => {
  const { byName } = await compared(handBytes(side), handBytes(side));
  expect(byName.size).toBeGreaterThan(20);
  for (const { degrees, bone } of byName.values()) {
    expect(degrees).toBeLessThan(SAME_ANGLE);
    if (bone !== null) expect(bone.off).toBeLessThan(SAME_LENGTH * Math.max(bone.wanted, 0.01));
  }
});

test.each(castNames)(
  'bones of the %s, larger by a third, are as long as in three.js',
  async (name) => {
    const larger = raisePuppet(name);
    for (const joint of larger.joints) joint.position = times(joint.position, LARGER);
    for (const part of larger.parts)
      part.positions = part.positions.map((place) => times(place, LARGER));
    const [sound, own] = [raisePuppet(name), larger].map((each) => mainFile(buildPuppet(each)));
    if (sound === undefined || own === undefined) throw new Error('two puppets are built');
    const [a, c] = [await boundInThree(sound), await boundInThree(own)];
    const { byName } = await compared(sound, own);
    const measured = [...byName].filter(([, { bone }]) => bone !== null);
    expect(measured.length).toBe(c.size);
    for (const [joint, { bone }] of measured) {
      const [from, to] = [a.get(joint)?.length ?? 0, c.get(joint)?.length ?? 0];
      expect(Math.abs((bone?.length ?? 0) - to)).toBeLessThan(SAME_LENGTH * to);
      expect(Math.abs((bone?.wanted ?? 0) - LARGER * from)).toBeLessThan(SAME_LENGTH * to);
    }
  },
);
