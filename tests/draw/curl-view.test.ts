import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { type Sight, secondSight, tellingSight } from '../../src/draw/curl-sight.js';
import { viewCurl } from '../../src/draw/curl-view.js';
import type { SceneChain } from '../../src/draw/scene.js';
import { drawSheet } from '../../src/draw/sheet.js';
import { curls } from '../../src/measure/skeleton/curl.js';
import { judgedCurl } from '../../src/measure/skeleton/curl-pose.js';
import type { Frame } from '../../src/measure/skeleton/frame.js';
import { cross, distance, dot, length, subtract, type Vec3 } from '../../src/rig/vec3.js';
import { checkBuilt } from '../support/check-built.js';
import { factsOf } from '../support/facts-of.js';
import { drawable, hasClass, numbersIn, readSvg } from './drawn.js';

/** Of the chain's length. */
const ROUNDING = 1e-12;

const OWN: Frame = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** A straight chain of unit bones along Y, in frames that are the world's, with what carried ones turn about. */
function straight(carried: readonly Frame[], bone = 1): SceneChain {
  const steps = carried.map((_, at) => ({ axes: OWN, at: [0, at === 0 ? 0 : bone, 0] as Vec3 }));
  return {
    joints: carried.map((_, at) => at),
    curl: { steps, carried, letters: { up: 'X', side: 'Z' } },
  };
}

const [X, Y, Z] = OWN;
const BACK: Vec3 = [-1, 0, 0];

describe('viewCurl', () => {
  it('tells no drift of a chain whose carried frames are its own', () => {
    const view = viewCurl(straight([OWN, OWN, OWN, OWN]));
    expect(view?.drift).toBe(0);
    expect(view?.own).toEqual(view?.carried);
  });

  // By hand: three joints turn by 45 degrees each; against the bone before, the last bone turns by 45 degrees,
  // or about -X by as much the other way: it ends sqrt(2) from where it should, on a length of 2.
  it('tells the drift of a flipped joint as worked out by hand', () => {
    const view = viewCurl(straight([OWN, [BACK, Y, [0, 0, -1]], OWN]));
    expect(view?.drift).toBeCloseTo(Math.SQRT2 / 2, 12);
    expect(view).toMatchObject({ worst: 2, letter: 'X', degrees: 45 });
  });

  it('turns as it is asked to, however far', () => {
    const chain = straight([OWN, OWN, OWN, OWN]);
    for (const [degrees, end] of [
      [90, [0, 0, 1]],
      // Half turns fold the chain onto its first bone, away from where it began.
      [180, [0, -1, 0]],
      [-180, [0, -1, 0]],
    ] as const) {
      const view = viewCurl(chain, { letter: 'X', degrees });
      expect(view).toMatchObject({ letter: 'X', degrees });
      // Bones at 90, 180 and 270 degrees from Y end at -Y; at 180, 360 and 540 at -Y as well.
      expect(distance(view?.own[3] ?? [9, 9, 9], [0, -1, 0])).toBeLessThan(ROUNDING * 10);
      expect(distance(view?.own[1] ?? [9, 9, 9], end)).toBeLessThan(ROUNDING * 10);
    }
    // About the aim axis a straight chain twists, and no joint moves.
    const twisted = viewCurl(chain, { letter: 'Y', degrees: 77 });
    expect(twisted?.own.map(([, y]) => y)).toEqual([0, 1, 2, 3]);
  });

  it('has nothing to show of a chain without length', () => {
    expect(viewCurl(straight([OWN, OWN, OWN], 0))).toBeNull();
  });
});

/** Length of a vector as it is seen. */
const seen = (vector: Vec3, { right, up }: Sight): number =>
  Math.hypot(dot(vector, right), dot(vector, up));

/** The widest gap and the largest run of a chain, and how much of each is seen. */
function shown(own: readonly Vec3[], carried: readonly Vec3[], sight: Sight) {
  const gaps = own.map((point, at) => subtract(point, carried[at] ?? point));
  const widest = gaps.reduce((most, gap) => (length(gap) > length(most) ? gap : most));
  const runs = [...own, ...carried].map((point) => subtract(point, own[0] ?? point));
  return {
    gap: seen(widest, sight) / length(widest),
    run: Math.max(...runs.map((run) => seen(run, sight))) / Math.max(...runs.map(length)),
  };
}

describe('where a curl is looked at from', () => {
  const bent: Vec3[] = [
    [0, 0, 0],
    [1, 0, 0],
    [1.8, 0.6, 0],
    [2.2, 1.5, 0],
  ];
  const cases: [string, (point: Vec3, at: number) => Vec3][] = [
    ['out of the plane', ([x, y], at) => [x, y, 0.2 * at]],
    ['in the plane', ([x, y], at) => [x + 0.1 * at, y - 0.2 * at, 0]],
    ['along the run of the chain', ([x, y], at) => [x + 0.3 * at, y, 0]],
    ['aslant', ([x, y], at) => [x - 0.1 * at, y + 0.1 * at, -0.3 * at]],
    ['by next to nothing', ([x, y], at) => [x, y, at === 3 ? 1e-5 : 0]],
  ];

  it.each(cases)('shows a gap %s at its full length, and a chain that is no dot', (_, move) => {
    const own = bent.map(move);
    const first = tellingSight({ own, carried: bent });
    const second = secondSight({ own, carried: bent }, first);
    for (const sight of [first, second]) {
      const [right, up, toward] = [sight.right, sight.up, sight.toward];
      expect(distance(cross(right, up), toward)).toBeLessThan(ROUNDING * 10);
      expect(length(up)).toBeCloseTo(1, 12);
      expect(shown(own, bent, sight).run).toBeGreaterThan(0.5);
    }
    expect(shown(own, bent, first).gap).toBeCloseTo(1, 12);
    // The second shows something else than the first.
    expect(dot(first.toward, second.toward)).toBeLessThan(0.9);
    // It looks onto the plane wherever the first does not.
    expect(second.isOnto).toBe(Math.abs(first.toward[2]) < 0.8);
  });

  it('is square onto the plane of curls that do not part', () => {
    const { toward } = tellingSight({ own: bent, carried: bent });
    expect(Math.abs(toward[2])).toBeCloseTo(1, 12);
  });

  it('is somewhere across a chain that is straight', () => {
    const line = bent.map(([x]): Vec3 => [x, 0, 0]);
    const first = tellingSight({ own: line, carried: line });
    for (const sight of [first, secondSight({ own: line, carried: line }, first)])
      expect(seen(X, sight)).toBeGreaterThan(0.49);
    expect(seen(X, first)).toBeCloseTo(1, 12);
    expect(length(first.up)).toBeCloseTo(1, 12);
    expect(Z).toEqual([0, 0, 1]);
  });
});

it('the drift of each chain is the one that the rule measures', async () => {
  const bytes = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
  const { scene } = await drawable(bytes);
  const measured = curls(await factsOf(bytes));
  const chains = scene.rigs[0]?.chains ?? [];
  expect(chains.length).toBe(measured.length);
  expect(measured.length).toBeGreaterThan(2);
  chains.forEach((chain, at) => {
    expect(chain.joints).toEqual(measured[at]?.joints);
    expect(viewCurl(chain)?.drift).toBe(measured[at]?.drift);
    expect(judgedCurl(chain.curl).letter).toBe(measured[at]?.letter);
    expect(chain.bound).toBeUndefined();
  });
});

describe.each([
  ['flipped-shin', '"thigh_L" to "toe_L"'],
  // A joint on another letter: its own rule tells it, and its curl is seen to leave its place.
  ['rings-on-another-axis', '"saddle" to "ring_fore_3"'],
])('the sheet of %s', (name, ends) => {
  const fault = faultNamed(name);
  const bytes = buildGlb(fault.puppet, { faults: [fault] });

  it('shows the curl of the one chain, in words and two kinds of line', async () => {
    const { scene, report } = await drawable(bytes);
    const elements = readSvg(drawSheet(scene, report));
    const texts = elements.map(({ text }) => text);
    expect(texts).toContain(ends);
    expect(texts.filter((text) => text === 'as it is').length).toBe(2);
    expect(texts.filter((text) => text === 'as it should be').length).toBe(2);
    expect(elements.filter((one) => hasClass(one, 'drawing-solid'))).toHaveLength(2);
    expect(elements.filter((one) => hasClass(one, 'drawing-dashed'))).toHaveLength(2);
    const [most] = [...curls(await factsOf(bytes))].sort((a, b) => b.drift - a.drift);
    const words = texts.find((text) => text.startsWith('Each joint turned by '));
    expect(words).toContain(` about ${most?.letter}: `);
    expect(words).toContain(
      `is off by ${Number((100 * (most?.drift ?? 0)).toPrecision(3))} % of the length`,
    );
    // Of the thin lines between the two at least one is long enough to be seen.
    const gaps = elements.filter((one) => hasClass(one, 'drawing-gap'));
    const long = gaps.map((gap) => {
      const [x0 = 0, y0 = 0, x1 = 0, y1 = 0] = numbersIn([gap]).map(Number);
      return Math.hypot(x1 - x0, y1 - y0);
    });
    expect(Math.max(...long)).toBeGreaterThan(10);
  });
});

it('a sound rig shows no curl', async () => {
  const { scene, report } = await drawable(buildGlb('heron'));
  expect((await checkBuilt(build('heron'))).findings).toEqual([]);
  expect(drawSheet(scene, report)).not.toContain('What a curl shows');
});
