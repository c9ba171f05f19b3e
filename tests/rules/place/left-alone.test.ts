import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { GltfJson } from '../../../fixtures/kit/gltf-json.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { findingsOf, pathsOf } from '../../support/findings-of.js';
import { chainJoints, type TinySkin, tinyGlb, tubeSkin } from '../../support/tiny-rig.js';

const stored = (puppet: Puppet): Uint8Array => mainFile(buildPuppet(puppet));

/** A rod of five joints along X in a tube; the third stands far above it. */
const run: readonly Vec3[] = [0, 1, 2, 3, 4].map((x): Vec3 => [x, 0, 0]);
const bent = run.map(([x], i): Vec3 => [x, i === 2 ? 0.5 : 0, 0]);
const tube = tubeSkin(run, 0.1, [0, 1, 0]);

/** The tube as other weights make it. */
const weighted = (edit: (list: readonly Influence[]) => Influence[]): TinySkin => ({
  ...tube,
  influences: tube.influences.map((list) => edit(list)),
});

const outside = async (skin: TinySkin) =>
  pathsOf(await findingsOf(tinyGlb(chainJoints(bent), skin), 'place.inside'));

describe('a joint outside the mesh', () => {
  const path = 'rod 1/rod 2/rod 3';

  test('is told where its skin bends with that of others', async () => {
    expect(await outside(tube)).toEqual([path]);
  });

  test('is left alone where all its vertices hang on it alone, as on a hull', async () => {
    const most = (list: readonly Influence[]): Influence[] => {
      const [[joint] = [0]] = [...list].sort((a, b) => b[1] - a[1]);
      return [[joint, 1]];
    };
    expect(await outside(weighted(most))).toEqual([]);
  });

  test.each([
    [0.4, []],
    [0.75, [path]],
  ])('is left alone with a few weights up to %d', async (share, expected) => {
    // One vertex of the tube, and no other, hangs on it.
    const without = weighted((list) =>
      list.map(([joint, weight]) => [joint === 2 ? 1 : joint, weight]),
    );
    const influences = without.influences.map((list, vertex): Influence[] =>
      vertex === 40
        ? [
            [1, 1 - share],
            [2, share],
          ]
        : [...list],
    );
    // Skin enough that one vertex is next to nothing of it.
    const body = tubeSkin(
      run.map(([x]): Vec3 => [x, -9, 0]),
      2,
      [0, 1, 0],
    );
    const first = tube.positions.length;
    const whole: TinySkin = {
      positions: [...tube.positions, ...body.positions],
      triangles: [
        ...tube.triangles,
        ...body.triangles.map(([a, b, c]) => [a + first, b + first, c + first] as const),
      ],
      influences: [...influences, ...body.influences.map((): Influence[] => [[0, 1]])],
    };
    expect(await outside(whole)).toEqual(expected);
  });

  test('is told with its twin, as one', async () => {
    const fault = faultNamed('knees-in-the-air');
    const { findings, measured } = await findingsOf(
      stored(raisePuppet(fault.puppet, { faults: [fault] })),
      'place.inside',
    );
    expect(
      findings.map(({ places, counts }) => [places.map(({ name }) => name), counts?.short]),
    ).toEqual([[['shin_L', 'shin_R'], 2]]);
    expect(findings[0]?.message).toContain(', and so does "shin_R" (limit 2 %)');
    expect(measured).toMatchObject([{ short: 2 }]);
  });

  test('keeps its twin, off the middle only, from going untold', async () => {
    const fault = faultNamed('knees-in-the-air');
    const puppet = raisePuppet(fault.puppet, { faults: [fault] });
    puppet.moveJoint('shin_R', [0, 0, -0.105]);
    const bytes = stored(puppet);
    expect(pathsOf(await findingsOf(bytes, 'place.inside'))).toEqual([
      expect.stringMatching(/shin_L$/),
    ]);
    expect(pathsOf(await findingsOf(bytes, 'place.middle'))).toEqual([
      expect.stringMatching(/shin_R$/),
    ]);
  });
});

describe('a joint off the middle', () => {
  const off = async (name: string, by: Vec3) => {
    const puppet = raisePuppet('marionette');
    puppet.moveJoint(name, by);
    return (await findingsOf(stored(puppet), 'place.middle')).findings.map(
      ({ place }) => place.name,
    );
  };

  test.each([
    ['thigh_L', []],
    ['upper_arm_L', []],
    ['collarbone_L', []],
    ['hips', []],
    ['spine_high', []],
    ['shin_L', ['shin_L']],
    ['spine_mid', ['spine_mid']],
    ['neck', ['neck']],
  ])('is asked within a limb, not where one leaves the body: %s', async (name, expected) => {
    const by = { shin_L: 0.045, neck: 0.04 }[name] ?? 0.09;
    expect(await off(name, [0, 0, by])).toEqual(expected);
  });

  test('is told with its twin, as one', async () => {
    const fault = faultNamed('knees-under-the-skin');
    const { findings } = await findingsOf(
      stored(raisePuppet(fault.puppet, { faults: [fault] })),
      'place.middle',
    );
    expect(findings.map(({ places, counts }) => [places.length, counts?.short])).toEqual([[2, 2]]);
  });
});

test('a joint named for a side is not held to the midline', async () => {
  const fault = faultNamed('back-to-one-side');
  const puppet = raisePuppet(fault.puppet, { faults: [fault] });
  expect(pathsOf(await findingsOf(stored(puppet), 'place.midline'))).toHaveLength(1);
  puppet.joint('spine_fore').label = 'spine_fore_L';
  expect(pathsOf(await findingsOf(stored(puppet), 'place.midline'))).toEqual([]);
});

describe('a pair not mirrored', () => {
  /** Gives each skin a spare node for each joint of one arm, so that no skin lists both arms. */
  function partSkins(json: GltfJson): void {
    const named = (side: string): number[] =>
      json.nodes.flatMap(({ name = '' }, node) =>
        /^(collarbone|upper_arm|forearm|hand|finger|thumb)/.test(name) && name.endsWith(side)
          ? [node]
          : [],
      );
    for (const [skin, side] of [
      [0, '_R'],
      [1, '_L'],
    ] as const) {
      const own = json.skins?.[skin];
      const away = new Set(named(side));
      if (own === undefined) throw new Error('two skins are wanted');
      own.joints = own.joints.map((node) => {
        if (!away.has(node)) return node;
        const spare = json.nodes.push({ name: `spare ${skin} ${node}` }) - 1;
        json.nodes[0]?.children?.push(spare);
        return spare;
      });
    }
  }

  const arms = (edit: ((json: GltfJson) => void) | null): Puppet => {
    const puppet = raisePuppet('marionette');
    for (const part of puppet.parts)
      if (/^(collarbone|finger|thumb).*_R$/.test(part.name)) part.costume = 'sleeve';
    for (const name of puppet.below('collarbone_R')) puppet.moveJoint(name, [0, 0.06, 0]);
    if (edit !== null) puppet.edits.push(edit);
    return puppet;
  };

  test('is told where a skin lists both joints, with all joints of the limb', async () => {
    const { findings } = await findingsOf(stored(arms(null)), 'place.pair');
    expect(findings.map(({ place, places }) => [place.name, places.length])).toEqual([
      ['collarbone_R', 32 - 6],
    ]);
  });

  test('is left alone where each is bound in a skin of its own', async () => {
    const { findings, measured } = await findingsOf(stored(arms(partSkins)), 'place.pair');
    expect(findings).toEqual([]);
    expect(measured[0]?.kind).toBe('judged');
  });
});
