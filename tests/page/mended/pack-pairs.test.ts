import { expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { packPairs } from '../../../src/page/mended/pack-pairs.js';
import { storyOf } from '../../support/mend-story.js';

interface Pooled {
  readonly pool: readonly string[];
  readonly pairs: readonly {
    readonly sides: readonly {
      readonly rig: {
        readonly meshes: readonly {
          positions: { base64: unknown };
          weights: { base64: unknown };
        }[];
        readonly clips: readonly { name: string; index: number }[];
      };
      readonly joints: readonly { name: string }[];
    }[];
    readonly answers: readonly number[];
    readonly changed: readonly (readonly [number, number])[];
  }[];
}

const faulty = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

it('holds a mesh that both sides have once, both with the same clips, and which joint is which', async () => {
  const { story } = await storyOf(faulty);
  // Written by the function under test, as text.
  const { pool, pairs } = JSON.parse(await packPairs(story.pairs)) as Pooled;
  expect(new Set(pool).size).toBe(pool.length);
  const [before, after] = pairs[0]?.sides ?? [];
  for (const key of ['positions', 'weights'] as const) {
    const [at, other] = [before, after].map((side) => side?.rig.meshes[0]?.[key].base64);
    expect(at).toEqual(expect.any(Number));
    expect(other).toBe(at);
    expect(pool[Number(at)]).toMatch(/^[A-Za-z0-9+/=]{64,}$/);
  }
  const clips = [before, after].map((side) =>
    side?.rig.clips.map(({ name, index }) => `${index} ${name}`),
  );
  expect(clips).toEqual([['0 wade'], ['0 wade']]);
  // Joints keep their names and order in this mend.
  expect(pairs[0]?.answers).toEqual(before?.joints.map((_, joint) => joint));
  const changed = pairs[0]?.changed.map(([joint]) => before?.joints[joint]?.name);
  expect(changed).toEqual(['shin_L']);
});

it('leaves a clip out of both sides where one has no room for it', async () => {
  const { story } = await storyOf(faulty);
  const [pair] = story.pairs;
  if (pair === undefined) throw new Error('the heron is a rig');
  const [old, now] = pair.sides;
  const alone = { ...now, scene: { ...now.scene, clips: [] } };
  const text = await packPairs([{ ...pair, sides: [old, alone] }]);
  const { pairs } = JSON.parse(text) as Pooled;
  expect(pairs[0]?.sides.map(({ rig }) => rig.clips)).toEqual([[], []]);
});
