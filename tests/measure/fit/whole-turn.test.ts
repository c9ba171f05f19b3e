import { describe, expect, it } from 'vitest';
import { turnAbout } from '../../../fixtures/kit/turns.js';
import {
  layWhole,
  NO_TURN,
  type Pairs,
  type Standing,
} from '../../../src/measure/fit/whole-turn.js';
import { turnDegrees } from '../../../src/rig/decompose.js';
import {
  conjugate,
  multiplyQuaternions,
  type Quaternion,
  rotate,
} from '../../../src/rig/quaternion.js';
import type { Vec3 } from '../../../src/rig/vec3.js';

/** A body with two arms and a neck, all of whose frames are those of the world. */
const PLACES: readonly Vec3[] = [
  [0, 0, 0],
  [0, 1, 0],
  [1, 1, 0],
  [2, 1, 0.2],
  [-1, 1, 0],
  [-2, 1, 0.2],
  [0, 2, 0.1],
];
const PARENTS = [-1, 0, 1, 2, 1, 4, 1];
const PAIRS: Pairs = PLACES.map((_, joint) => [joint, joint]);
const body: Standing = { places: PLACES, turns: PLACES.map(() => NO_TURN) };

const turned = (by: Quaternion, which = (_joint: number): boolean => true): Standing => ({
  places: PLACES.map((place, joint) => (which(joint) ? rotate(by, place) : place)),
  turns: PLACES.map((_, joint) => (which(joint) ? by : NO_TURN)),
});

const found = (to: Standing, from = body) => layWhole(from, to, PAIRS, PARENTS, 1).best?.turn;

describe('the turn of a whole skeleton', () => {
  it.each([6, 60, 180])('is found when all of it is turned by %d degrees', (degrees) => {
    const by = turnAbout([1, 2, -1], degrees);
    const left = multiplyQuaternions(conjugate(by), found(turned(by)) ?? NO_TURN);
    expect(turnDegrees(left)).toBeLessThan(1e-6);
  });

  it('is asked of frames, and is none where places do not tell it: a rod that is rolled', () => {
    const rolled = turnAbout([0, 1, 0], 40);
    const places = PLACES.map((_, joint): Vec3 => [0, joint, 0]);
    const rod = { places, turns: body.turns };
    const turn = layWhole(rod, { places, turns: PLACES.map(() => rolled) }, PAIRS, PARENTS, 1);
    expect(turn.best?.turn).toBe(NO_TURN);
    expect(turn.ways.map((way) => Math.round(turnDegrees(way.turn)))).toContain(40);
  });

  it('is none when one arm is turned, or every frame in its place', () => {
    const by = turnAbout([1, 0, 0], 90);
    expect(found(turned(by, (joint) => joint === 2 || joint === 3))).toBe(NO_TURN);
    expect(found({ places: PLACES, turns: PLACES.map(() => by) })).toBe(NO_TURN);
  });

  it('is none where a turn brings joints nearer and leaves bones across', () => {
    // Both arms have each other's names: half a turn would lay them in place, and not the rest.
    const other = [0, 1, 4, 5, 2, 3, 6];
    const long = (places: readonly Vec3[]) => places.map(([x, y, z]): Vec3 => [x, y, 6 * z]);
    const swapped: Standing = {
      places: long(other.map((joint) => PLACES[joint] ?? [0, 0, 0])),
      turns: other.map((joint) => (joint > 1 && joint < 6 ? turnAbout([0, 1, 0], 180) : NO_TURN)),
    };
    expect(found(swapped, { ...body, places: long(PLACES) })).toBe(NO_TURN);
  });
});
