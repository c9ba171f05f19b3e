import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { viewCurl } from '../../src/draw/curl-view.js';
import type { SceneChain } from '../../src/draw/scene.js';
import { drawSheet } from '../../src/draw/sheet.js';
import { curlPoints, curls } from '../../src/measure/skeleton/curl.js';
import type { Vec3 } from '../../src/rig/vec3.js';
import { checkBuilt } from '../support/check-built.js';
import { factsOf } from '../support/facts-of.js';
import { drawable, hasClass, readSvg } from './drawn.js';

/** Of the chain's length. */
const ROUNDING = 1e-12;

/** A straight chain along Y whose joints turn about the given axes. */
function straight(own: readonly Vec3[], ideal: readonly Vec3[]): SceneChain {
  const points = own.map((_, at): Vec3 => [0, at, 0]);
  const step = Math.PI / 2 / (own.length - 1);
  const curl = (axes: readonly Vec3[]) => ({ points: curlPoints(points, axes, step), axes });
  const still = { points, axes: ideal };
  return {
    joints: own.map((_, at) => at),
    about: {
      up: { own: curl(own), ideal: curl(ideal) },
      side: { own: still, ideal: still },
    },
  };
}

const X: Vec3 = [1, 0, 0];
const BACK: Vec3 = [-1, 0, 0];

describe('viewCurl', () => {
  it('shows a curl in one plane as a straight line from its edge', () => {
    const view = viewCurl(straight([X, X, X, X], [X, X, X, X]));
    expect(view?.drift).toBe(0);
    for (const [, , off] of view?.ideal ?? []) expect(Math.abs(off)).toBeLessThan(ROUNDING);
    const across = (view?.ideal ?? []).map(([, one]) => one);
    expect(Math.max(...across) - Math.min(...across)).toBeGreaterThan(0.3);
  });

  // By hand: three joints turn by 45 degrees each; the last bone goes to (0, cos 45, sin 45), or with
  // the middle joint about -X to (0, cos 45, -sin 45): sqrt(2) apart on a length of 2.
  it('tells the drift of a flipped joint as worked out by hand', () => {
    const view = viewCurl(straight([X, BACK, X], [X, X, X]));
    expect(view?.drift).toBeCloseTo(Math.SQRT2 / 2, 12);
    expect(view?.worst).toBe(2);
    expect(view?.about).toBe('up');
  });

  it('shows a joint turned out of the plane off the line', () => {
    const view = viewCurl(straight([X, [0, 0, 1], X], [X, X, X]));
    // About Z instead of X: the last bone goes to (-sin 45, cos 45, 0), all of it off the plane.
    expect(Math.abs(view?.own[2]?.[2] ?? 0)).toBeCloseTo(Math.SQRT1_2, 12);
  });

  it('has nothing to show of a chain without length', () => {
    const here: Vec3 = [0, 0, 0];
    const curl = { points: [here, here, here], axes: [X, X, X] };
    const about = { own: curl, ideal: curl };
    expect(viewCurl({ joints: [0, 1, 2], about: { up: about, side: about } })).toBeNull();
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
    expect(viewCurl(chain)?.drift).toBeCloseTo(measured[at]?.drift ?? -1, 12);
  });
});

it('a sheet shows the curl of the chain with the flipped joint alone, in words and two kinds of line', async () => {
  const { scene, report } = await drawable(
    buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
  );
  const elements = readSvg(drawSheet(scene, report));
  const texts = elements.map(({ text }) => text);
  expect(texts).toContain('"thigh_L" to "toe_L"');
  expect(texts.filter((text) => text === 'as it is').length).toBe(2);
  expect(texts.filter((text) => text === 'as it should be').length).toBe(2);
  expect(elements.filter((one) => hasClass(one, 'drawing-solid'))).toHaveLength(2);
  expect(elements.filter((one) => hasClass(one, 'drawing-dashed'))).toHaveLength(2);
  const percent = texts.find((text) => text.startsWith('Curled by 90°'));
  const drift = Math.max(
    ...curls(await factsOf(buildGlb('heron', { faults: [faultNamed('flipped-shin')] }))).map(
      (curl) => curl.drift,
    ),
  );
  expect(percent).toContain(
    `leaves its plane by ${Number((100 * drift).toPrecision(3))} % of its length`,
  );
});

it('a sound rig shows no curl', async () => {
  const { scene, report } = await drawable(buildGlb('heron'));
  expect((await checkBuilt(build('heron'))).findings).toEqual([]);
  expect(drawSheet(scene, report)).not.toContain('What a curl shows');
});
