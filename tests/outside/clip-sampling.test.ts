// Sources: three.js (npm `three`): the interpolants that `KeyframeTrack` makes, and `GLTFLoader` with
// `AnimationMixer` for whole clips; glTF 2.0, Appendix C "Animation Sampler Interpolation Modes", for
// the cubic formula.
import fc from 'fast-check';
import {
  AnimationMixer,
  InterpolateDiscrete,
  InterpolateLinear,
  QuaternionKeyframeTrack,
  VectorKeyframeTrack,
} from 'three';
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { ClipPose, sampleChannel } from '../../src/measure/pose/clip-sampling.js';
import type { ClipChannel } from '../../src/rig/types.js';
import { rigOf } from '../support/facts-of.js';
import { loadInThree } from '../support/three-scene.js';

/** Keys lie within ±10, and results are kept in float32 on their side: 10 x 2^-24, with room. */
const FLOAT32 = 2e-6;
/**
 * Below 3.6 degrees apart three.js blends quaternions straight and normalises. Against the arc that is
 * off by at most a^3 / 62 for half angles up to a = acos(0.9995) = 0.0316: 5.1e-7.
 */
const QUATERNION = 1e-6;
const RUNS = { seed: 20240229, numRuns: 300 };

/** Evenly spread, where a float generator crowds around zero. */
const thousandths = (min: number, max: number) =>
  fc.integer({ min: 1000 * min, max: 1000 * max }).map((steps) => steps / 1000);
const number = thousandths(-10, 10);
/** Two to six keys, at least a twentieth of a second apart. */
const keyTimes = fc
  .array(fc.integer({ min: 1, max: 40 }), { minLength: 2, maxLength: 6 })
  .map((gaps) => {
    let time = 0;
    return Float32Array.from(gaps, (gap) => (time += gap / 20));
  });
const quaternion = fc
  .array(thousandths(-1, 1), { minLength: 4, maxLength: 4 })
  .filter((parts) => Math.hypot(...parts) > 0.1)
  .map((parts) => parts.map((part) => part / Math.hypot(...parts)));
/** A time as a share of the clip, running out over both of its ends. */
const moment = thousandths(-0.2, 1.2);

const track = (value: fc.Arbitrary<number[]>, perKey = 1) =>
  keyTimes.chain((times) => {
    const length = times.length * perKey;
    return fc.record({
      times: fc.constant(times),
      keys: fc.array(value, { minLength: length, maxLength: length }),
      time: moment.map((share) => share * (times.at(-1) ?? 0)),
    });
  });
const vectorTrack = track(fc.array(number, { minLength: 3, maxLength: 3 }));

function sampled(channel: Omit<ClipChannel, 'node'>, time: number): number[] {
  const out = new Float64Array(4);
  sampleChannel({ node: 0, ...channel }, time, out);
  return Array.from(out.subarray(0, channel.size));
}

function apart(a: ArrayLike<number>, b: ArrayLike<number>): number {
  return Math.max(...Array.from(a, (value, at) => Math.abs(value - (b[at] ?? Number.NaN))));
}

describe('a channel between its keys and past both ends', () => {
  test('LINEAR translations are those of three.js', () => {
    fc.assert(
      fc.property(vectorTrack, ({ times, keys, time }) => {
        const values = Float32Array.from(keys.flat());
        const theirs = new VectorKeyframeTrack('rod.position', times, values, InterpolateLinear);
        const ours = sampled(
          { path: 'translation', interpolation: 'LINEAR', times, values, size: 3 },
          time,
        );
        expect(apart(ours, theirs.InterpolantFactoryMethodLinear().evaluate(time))).toBeLessThan(
          FLOAT32,
        );
      }),
      RUNS,
    );
  });

  test('STEP holds the earlier key, as three.js has it', () => {
    fc.assert(
      fc.property(vectorTrack, ({ times, keys, time }) => {
        const values = Float32Array.from(keys.flat());
        const theirs = new VectorKeyframeTrack('rod.position', times, values, InterpolateDiscrete);
        const ours = sampled(
          { path: 'scale', interpolation: 'STEP', times, values, size: 3 },
          time,
        );
        expect(ours).toEqual(
          Array.from(theirs.InterpolantFactoryMethodDiscrete().evaluate(time) as Float32Array),
        );
      }),
      RUNS,
    );
  });

  test('LINEAR rotations turn the short way round, as three.js has it', () => {
    fc.assert(
      fc.property(track(quaternion), ({ times, keys, time }) => {
        const values = Float32Array.from(keys.flat());
        const theirs = new QuaternionKeyframeTrack('rod.quaternion', times, values);
        const ours = sampled(
          { path: 'rotation', interpolation: 'LINEAR', times, values, size: 4 },
          time,
        );
        expect(apart(ours, theirs.InterpolantFactoryMethodLinear().evaluate(time))).toBeLessThan(
          QUATERNION,
        );
      }),
      RUNS,
    );
  });

  test('CUBICSPLINE is the formula of Appendix C, and its rotations are of unit length', () => {
    fc.assert(
      fc.property(
        track(fc.array(number, { minLength: 4, maxLength: 4 }), 3),
        ({ times, keys, time }) => {
          const last = times.length - 1;
          const next = times.findIndex((key) => key > time);
          fc.pre(next > 0 && next <= last);
          const stored = keys.map((key) => Array.from(Float32Array.from(key)));
          const expected = appendixC(times, stored, next, time);
          const size = Math.hypot(...expected);
          fc.pre(size > 0.1);
          const ours = sampled(
            {
              path: 'rotation',
              interpolation: 'CUBICSPLINE',
              times,
              values: Float32Array.from(keys.flat()),
              size: 4,
            },
            time,
          );
          // Both are float64: rounding alone, on terms up to 10 x 2 s x 4.
          expect(
            apart(
              ours,
              expected.map((part) => part / size),
            ),
          ).toBeLessThan(1e-11);
        },
      ),
      RUNS,
    );
  });

  test('a key time gives the key itself, for every interpolation', () => {
    const times = Float32Array.of(0.5, 1.25, 2);
    const values = Float32Array.of(1, 2, 3, 4, 5, 6, 7, 8, 9);
    for (const interpolation of ['LINEAR', 'STEP'] as const)
      expect(sampled({ path: 'scale', interpolation, times, values, size: 3 }, 1.25)).toEqual([
        4, 5, 6,
      ]);
    const tangled = Float32Array.from({ length: 27 }, (_, at) => at);
    expect(
      sampled(
        { path: 'scale', interpolation: 'CUBICSPLINE', times, values: tangled, size: 3 },
        1.25,
      ),
    ).toEqual([12, 13, 14]);
  });
});

/** v_t of C.5, with in-tangent a, value v and out-tangent b of each key in turn. */
function appendixC(
  times: ArrayLike<number>,
  keys: readonly (readonly number[])[],
  next: number,
  time: number,
): number[] {
  const [from, to] = [times[next - 1] ?? 0, times[next] ?? 0];
  const td = to - from;
  const t = (time - from) / td;
  const [vk, bk] = [keys[3 * next - 2] ?? [], keys[3 * next - 1] ?? []];
  const [ak1, vk1] = [keys[3 * next] ?? [], keys[3 * next + 1] ?? []];
  return vk.map(
    (value, i) =>
      (2 * t ** 3 - 3 * t ** 2 + 1) * value +
      td * (t ** 3 - 2 * t ** 2 + t) * (bk[i] ?? 0) +
      (-2 * t ** 3 + 3 * t ** 2) * (vk1[i] ?? 0) +
      td * (t ** 3 - t ** 2) * (ak1[i] ?? 0),
  );
}

describe.each(castNames)('the clips of the %s', (name) => {
  test('pose every joint where three.js plays it, at any time', async () => {
    const bytes = buildGlb(name);
    const rig = await rigOf(bytes);
    const { nodes, clips } = await loadInThree(bytes);
    const root = nodes.get(0)?.parent ?? nodes.get(0);
    if (root === undefined) throw new Error('three.js has no scene');
    expect(clips.map((clip) => clip.name)).toEqual(rig.clips.map((clip) => clip.name));
    rig.clips.forEach((clip, index) => {
      const theirs = clips[index];
      if (theirs === undefined) throw new Error(`three.js has no clip ${index}`);
      const mixer = new AnimationMixer(root);
      mixer.clipAction(theirs).play();
      const pose = new ClipPose(rig, clip);
      fc.assert(
        fc.property(thousandths(0, 0.999), (share) => {
          const time = share * theirs.duration;
          mixer.setTime(time);
          root.updateMatrixWorld(true);
          pose.seek(time);
          for (const node of rig.joints.node) {
            const world = nodes.get(node)?.matrixWorld.elements ?? [];
            // Metres, on puppets of up to 3 m, posed by up to a dozen turns each.
            expect(apart(pose.worldOf(node), world)).toBeLessThan(1e-5);
          }
        }),
        { ...RUNS, numRuns: 40 },
      );
      mixer.stopAllAction();
    });
  });
});

test('the clips of the cast have every interpolation, so that each is played above', async () => {
  const rigs = await Promise.all(castNames.map((name) => rigOf(buildGlb(name))));
  const seen = rigs.flatMap((rig) =>
    rig.clips.flatMap((clip) => clip.channels.map((channel) => channel.interpolation)),
  );
  expect([...new Set(seen)].sort()).toEqual(['CUBICSPLINE', 'LINEAR', 'STEP']);
});
