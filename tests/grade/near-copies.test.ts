import { describe, expect, it } from 'vitest';
import { buildPuppet, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { shareSkin } from '../../fixtures/kit/changes.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { add } from '../../fixtures/kit/vectors.js';
import { nearCopies } from '../../src/grade/near-copies.js';
import { type Skeleton, sameSkeleton, skeletonOf } from '../../src/grade/skeleton.js';
import type { Vec3 } from '../../src/rig/vec3.js';
import { sampleRig } from '../report/sample-report.js';
import { checkBuilt } from '../support/check-built.js';

async function bones(
  name: CastName,
  change: (puppet: Puppet) => void = () => undefined,
  options: BuildOptions = {},
): Promise<Skeleton[]> {
  const puppet = raisePuppet(name, options);
  change(puppet);
  const { rigs } = await checkBuilt(buildPuppet(puppet, options));
  return rigs.flatMap((rig) => skeletonOf(rig) ?? []);
}

/** Whether two are told to be similar, each of the other. */
async function similar(one: Promise<Skeleton[]>, two: Promise<Skeleton[]>): Promise<boolean> {
  const found = nearCopies([
    { name: 'submission-01', skeletons: await one },
    { name: 'submission-02', skeletons: await two },
  ]);
  const [there, back] = [found.get('submission-01'), found.get('submission-02')];
  expect(there?.length).toBe(back?.length);
  return there?.[0] === 'submission-02' && back?.[0] === 'submission-01';
}

const CAST: readonly CastName[] = ['heron', 'mule', 'stag-beetle', 'caterpillar', 'marionette'];

describe('a rig', () => {
  it.each(CAST)('is found to be the same as itself: %s', async (name) => {
    expect(await similar(bones(name), bones(name))).toBe(true);
  });

  it.each(CAST)(
    'is found again with other names, units, frames and order of nodes: %s',
    async (name) => {
      const other = bones(
        name,
        (puppet) => {
          puppet.joints.reverse();
          for (const [at, joint] of puppet.joints.entries()) joint.label = `rod ${at}`;
        },
        { unitScale: 100, convention: { aim: '+X', up: '+Y', mirror: 'negate-all' } },
      );
      expect(await similar(bones(name), other)).toBe(true);
    },
  );

  it('is found again lying down, as an export with another axis up leaves it', async () => {
    const fault = faultNamed('quarter-turn-holder');
    const lying = bones(fault.puppet, () => undefined, { faults: [fault] });
    expect(await similar(bones(fault.puppet), lying)).toBe(true);
  });

  it('is found again stored in another pose', async () => {
    const fault = faultNamed('bent-elbow');
    const posed = bones(fault.puppet, () => undefined, { faults: [fault] });
    expect(await similar(bones(fault.puppet), posed)).toBe(true);
  });

  it('is another with one joint moved by a hundredth of its size', async () => {
    const moved = bones('caterpillar', (puppet) => {
      const ring = puppet.joint('ring_fore_2');
      ring.position = add(ring.position, [0, 0.01, 0]);
    });
    expect(await similar(bones('caterpillar'), moved)).toBe(false);
  });

  it.each([
    [0.00002, true],
    [0.001, false],
  ])(
    'with one joint moved by %f m, of a size of about a metre, is the same: %s',
    async (metres, same) => {
      const moved = bones('caterpillar', (puppet) => {
        const ring = puppet.joint('ring_fore_2');
        ring.position = add(ring.position, [0, metres, 0]);
      });
      expect(await similar(bones('caterpillar'), moved)).toBe(same);
    },
  );

  it('is another with other weights', async () => {
    const repainted = bones('caterpillar', (puppet) => shareSkin(puppet, 'head', 'ring_fore_4'));
    expect(await similar(bones('caterpillar'), repainted)).toBe(false);
  });

  it('is another with one joint hung elsewhere', async () => {
    const rehung = bones('caterpillar', (puppet) => {
      puppet.joint('foot_fore_1_L').parent = 'ring_fore_2';
    });
    expect(await similar(bones('caterpillar'), rehung)).toBe(false);
  });

  it('is another than every other of the cast', async () => {
    const all = await Promise.all(
      CAST.map(async (name) => ({ name, skeletons: await bones(name) })),
    );
    expect(all.every(({ skeletons }) => skeletons.length > 0)).toBe(true);
    expect([...nearCopies(all).values()].flat()).toEqual([]);
  });
});

/** Three joints at no even places, with shares of skin. */
function bent(shares: readonly number[], turn: (place: Vec3) => Vec3 = (place) => place): Skeleton {
  const places: readonly Vec3[] = [
    [0, 0, 0],
    [0, 0.4, 0.1],
    [0.2, 0.5, 0.3],
  ];
  const rig = sampleRig();
  const joints = rig.joints.map((joint, at) => ({
    ...joint,
    place: turn(places[at] ?? [0, 0, 0]),
    skinShare: shares[at] ?? 0,
  }));
  const found = skeletonOf({ ...rig, joints });
  if (found === null) throw new Error('three joints with skin are evidence');
  return found;
}

describe('two skeletons', () => {
  const one = bent([0.2, 0.3, 0.5]);

  it('are not the same where the same shares of skin are on other joints', () => {
    expect(sameSkeleton(one, bent([0.2, 0.3, 0.5]))).toBe(true);
    expect(sameSkeleton(one, bent([0.3, 0.2, 0.5]))).toBe(false);
  });

  it.each([
    ['moved', ([x, y, z]: Vec3): Vec3 => [x + 3, y - 1, z + 7], true],
    ['turned about X', ([x, y, z]: Vec3): Vec3 => [x, -z, y], true],
    ['turned about every axis', ([x, y, z]: Vec3): Vec3 => [z, x, y], true],
    ['mirrored', ([x, y, z]: Vec3): Vec3 => [-x, y, z], false],
    [
      'turned by an odd angle',
      ([x, y, z]: Vec3): Vec3 => [0.6 * x - 0.8 * y, 0.8 * x + 0.6 * y, z],
      false,
    ],
  ])('that differ by being %s are told so', (_, turn, same) => {
    expect(sameSkeleton(one, bent([0.2, 0.3, 0.5], turn))).toBe(same);
  });
});

describe('what proves nothing', () => {
  it('a rig without skin, or of two joints, is not compared', () => {
    const rig = sampleRig();
    const bare = { ...rig, joints: rig.joints.map((joint) => ({ ...joint, skinShare: 0 })) };
    expect(skeletonOf(rig)).not.toBeNull();
    expect([skeletonOf(bare), skeletonOf(sampleRig(['body', 'neck']))]).toEqual([null, null]);
    expect(skeletonOf({ ...rig, size: 0 })).toBeNull();
  });

  it('two rigs in one submission are no two submissions', async () => {
    const [one] = await bones('mule');
    const both = one === undefined ? [] : [one, one];
    expect(both).toHaveLength(2);
    expect(nearCopies([{ name: 'submission-01', skeletons: both }]).get('submission-01')).toEqual(
      [],
    );
  });
});

/** Milliseconds that a class of 300 on one starting file may take: some fifty times what it does. */
const MOST_MILLISECONDS = 10_000;

it('300 of one starting file are compared in a moment', async () => {
  const skeletons = await bones('marionette');
  const names = Array.from({ length: 300 }, (_, at) => `submission-${at}`);
  const start = performance.now();
  const found = nearCopies(names.map((name) => ({ name, skeletons })));
  expect(performance.now() - start).toBeLessThan(MOST_MILLISECONDS);
  expect(names.every((name) => found.get(name)?.length === 299)).toBe(true);
});
