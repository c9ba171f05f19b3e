// Source of bone names, their tree and which way a model faces: the VRM specification
// (vrm-c/vrm-specification). VRM 1.0: humanoid.md, and tpose.md, Definition 1.1 ("Standing straight
// toward the +Z axis") and 1.8 ("The thumb of the left hand is directed between the +X axis and +Z
// axis"). VRM 0.x: README.md, VRM rules ("Model faces towards -Z direction", +Y up).
import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { bindPose } from '../../../src/measure/pose/bind-pose.js';
import { bodyRoot } from '../../../src/measure/skeleton/body-root.js';
import { lever } from '../../../src/measure/skeleton/lever.js';
import { rootIsTip } from '../../../src/measure/skeleton/limb-direction.js';
import { pairs } from '../../../src/measure/skeleton/pairs.js';
import { factsOf } from '../../support/facts-of.js';
import { cardSkin, type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';
import { mapBones, renameToNothing } from '../../support/vrm.js';

type Bones = Readonly<Record<string, number>>;
type Version = '1.0' | '0.x';

describe.each(['1.0', '0.x'] as const)(
  'a marionette mapped by VRM %s, with names that tell nothing',
  (vrm) => {
    const puppet = raisePuppet('marionette');
    const kitName = renameToNothing(puppet);
    const facts = factsOf(mainFile(buildPuppet(puppet, { vrm })));
    const names = async (): Promise<string[]> =>
      (await facts).rig.joints.names.map((name) => kitName.get(name) ?? name);

    test('has the mapped bones of both sides for pairs', async () => {
      const name = await names();
      const { list } = pairs(await facts);
      const mapped = list.filter((pair) => pair.by === 'mapping');
      const lefts = [...puppet.human.keys()].filter((joint) => joint.endsWith('_L'));
      expect(lefts).toHaveLength(17);
      expect(mapped.map(({ left, right }) => `${name[left]} ${name[right]}`).sort()).toEqual(
        lefts.map((left) => `${left} ${left.replace(/_L$/, '_R')}`).sort(),
      );
      // Fingertips are no bones of the mapping: only where they stand can tell.
      const placed = list.filter((pair) => pair.by === 'place');
      expect(placed.map(({ left }) => name[left]).sort()).toEqual([
        'finger_fore_tip_L',
        'finger_mid_tip_L',
        'thumb_tip_L',
      ]);
    });

    test('has every joint on its side', async () => {
      const { side } = pairs(await facts);
      const told = (await names()).map((name) =>
        name.endsWith('_L') ? 'left' : name.endsWith('_R') ? 'right' : null,
      );
      expect(side).toEqual(told);
    });

    test('stands as the specification says', async () => {
      const { left } = pairs(await facts).list[0] ?? { left: -1 };
      const x = bindPose(await facts).places[left]?.[0] ?? 0;
      expect(Math.sign(x)).toBe(vrm === '1.0' ? 1 : -1);
    });

    test('has its mapped hips for the body root', async () => {
      const found = bodyRoot(await facts);
      expect((await names())[found.joint]).toBe('hips');
      expect(found).toMatchObject({ mapped: true, first: found.joint, carriers: [0] });
    });
  },
);

/** Joints below one hub at the origin, the hub first, each with a card of skin. */
async function pegs(
  list: readonly (readonly [string, Vec3])[],
  bones: Bones,
  version: Version = '1.0',
) {
  const joints: TinyJoint[] = [
    { name: 'hub', parent: -1, at: [0, 1, 0] },
    ...list.map(([name, at]): TinyJoint => ({ name, parent: 0, at })),
  ];
  const skin = cardSkin(joints.map(({ at }) => at));
  const facts = await factsOf(tinyGlb(joints, skin, mapBones(bones, version)));
  const found = pairs(facts);
  const name = (joint: number): string => facts.rig.joints.names[joint] ?? '';
  return {
    list: found.list.map(({ left, right, by }) => [name(left), name(right), by]),
    side: found.side,
    named: found.named.map((item) => item?.side ?? null),
  };
}

describe('sides by mapping', () => {
  test('go before those of names, wherever the joints stand', async () => {
    const { list, side } = await pegs(
      [
        ['arm_L', [0.9, 1, 0]],
        ['arm_R', [-0.2, 3, 0]],
      ],
      { rightUpperArm: 1, leftUpperArm: 2 },
    );
    expect(list).toEqual([['arm_R', 'arm_L', 'mapping']]);
    expect(side).toEqual([null, 'right', 'left']);
  });

  test('leave a bone mapped on one side alone without a partner, but on its side', async () => {
    const { list, side } = await pegs(
      [
        ['bead', [0.5, 1, 0]],
        ['knob', [0.2, 3, 0]],
      ],
      { leftUpperArm: 1 },
    );
    expect(list).toEqual([]);
    expect(side).toEqual([null, 'left', null]);
  });

  test('do not pair different bones', async () => {
    const { list, side } = await pegs(
      [
        ['bead', [0.5, 1, 0]],
        ['knob', [-0.2, 3, 0]],
      ],
      { leftUpperArm: 1, rightLowerArm: 2 },
    );
    expect(list).toEqual([]);
    expect(side).toEqual([null, 'left', 'right']);
  });

  test('let a name find the partner that the mapping leaves out', async () => {
    const { list } = await pegs(
      [
        ['eye_L', [0.5, 1, 0]],
        ['eye_R', [-0.2, 3, 0]],
      ],
      { leftEye: 1 },
    );
    expect(list).toEqual([['eye_L', 'eye_R', 'name']]);
  });

  test('keep a name that tells the other side from finding one', async () => {
    const { list, side } = await pegs(
      [
        ['eye_L', [0.5, 1, 0]],
        ['eye_R', [-0.5, 1, 0]],
      ],
      { rightEye: 1 },
    );
    expect(list).toEqual([]);
    expect(side).toEqual([null, 'right', null]);
  });

  test('keep the middle of the body from being half of a pair', async () => {
    const places: [string, Vec3][] = [
      ['bead', [0.5, 1, 0]],
      ['knob', [-0.5, 1, 0]],
    ];
    expect((await pegs(places, {})).list).toEqual([['bead', 'knob', 'place']]);
    const { list, side } = await pegs(places, { chest: 1 });
    expect(list).toEqual([]);
    expect(side).toEqual([null, null, null]);
  });

  test.each([
    ['arm_L', 'arm_R', [null, 'left', 'right', 'left']],
    ['bead', 'knob', [null, null, null, null]],
  ])('called %s and %s prove that names tell sides, or do not', async (left, right, expected) => {
    const { named } = await pegs(
      [
        [left, [0.5, 1, 0]],
        [right, [-0.5, 1, 0]],
        ['lamp_L', [0.2, 3, 0.7]],
      ],
      { leftUpperArm: 1, rightUpperArm: 2 },
    );
    expect(named).toEqual(expected);
  });

  test('do not make a side of a word that only ends like one', async () => {
    const { named } = await pegs(
      [
        ['bright', [0.5, 1, 0]],
        ['dim', [-0.5, 1, 0]],
        ['arm_L', [0.5, 2, 0]],
        ['arm_R', [-0.5, 2, 0]],
      ],
      { leftEye: 1, rightEye: 2 },
    );
    // In joint order: arm_L and arm_R before bright and dim.
    expect(named).toEqual([null, 'left', 'right', null, null]);
  });

  test('end at a joint that is in the middle of the body', async () => {
    const joints: TinyJoint[] = [
      { name: 'wick', parent: -1, at: [0, 1, 0] },
      { name: 'peg', parent: 0, at: [0.5, 1, 0] },
      { name: 'cap', parent: 1, at: [0.1, 2, 0] },
      { name: 'bead', parent: 2, at: [0.1, 3, 0] },
      { name: 'pin', parent: 0, at: [-0.5, 1, 0] },
    ];
    const bones = { leftShoulder: 1, rightShoulder: 4, head: 2 };
    const skin = cardSkin(joints.map(({ at }) => at));
    const facts = await factsOf(tinyGlb(joints, skin, mapBones(bones)));
    expect(pairs(facts).side).toEqual([null, 'left', null, null, 'right']);
  });
});

describe('pairs by place beside a mapping', () => {
  const places: [string, Vec3][] = [
    ['bead', [0.5, 1, 0]],
    ['knob', [-0.5, 1, 0]],
  ];

  test.each<[Version, string, string]>([
    ['1.0', 'bead', 'knob'],
    ['0.x', 'knob', 'bead'],
  ])('have their left where a model of VRM %s has it', async (version, left, right) => {
    const { list } = await pegs(places, { hips: 0 }, version);
    expect(list).toEqual([[left, right, 'place']]);
  });

  test.each<Version>(['1.0', '0.x'])(
    'have it where the mapped bones of %s have it, if those stand the other way',
    async (version) => {
      const [near, far] = version === '1.0' ? ([3, 4] as const) : ([4, 3] as const);
      const { list } = await pegs(
        [...places, ['cap', [-0.3, 2, 0]], ['pin', [0.3, 2, 0]]],
        { leftUpperArm: near, rightUpperArm: far },
        version,
      );
      expect(list).toEqual([
        version === '1.0' ? ['knob', 'bead', 'place'] : ['bead', 'knob', 'place'],
        version === '1.0' ? ['cap', 'pin', 'mapping'] : ['pin', 'cap', 'mapping'],
      ]);
    },
  );
});

/** `parents` of joints in tree order, and those that move a card of skin each; one is mapped as hips. */
async function tree(parents: readonly number[], movers: readonly number[], bones: Bones) {
  const joints = parents.map(
    (parent, index): TinyJoint => ({ name: `peg ${index}`, parent, at: [0, 0.1 * index, 0] }),
  );
  const cards = cardSkin(movers.map((joint): Vec3 => joints[joint]?.at ?? [0, 0, 0]));
  const influences = cards.influences.map((list) =>
    list.map(([card, weight]): Influence => [movers[Number(card)] ?? 0, weight]),
  );
  return factsOf(tinyGlb(joints, { ...cards, influences }, mapBones(bones)));
}

describe('the body root', () => {
  test.each<[string, number[], number[], number, object]>([
    [
      'is mapped hips that move no skin themselves, and what is below them is no longer passed over',
      [-1, 0, 1, 2],
      [2, 3],
      1,
      { joint: 1, mapped: true, first: 2, carriers: [0] },
    ],
    [
      'is mapped hips that skin alone would have told',
      [-1, 0, 1],
      [1, 2],
      1,
      { joint: 1, mapped: true, first: 1, carriers: [0] },
    ],
    [
      'is mapped hips below a joint with a little skin, which is no carrier for that',
      [-1, 0, 1, 1, 1, 1],
      [0, 1, 2, 3, 4, 5],
      1,
      { joint: 1, mapped: true, first: 0, carriers: [] },
    ],
    [
      'is not hips with too little of the skin on them',
      [-1, 0, 1, 1, 0],
      [0, 1, 2, 3, 4],
      1,
      { joint: 0, mapped: false, first: 0, carriers: [] },
    ],
    [
      'is not hips at the end of a limb',
      [-1, 0, 1, 2],
      [1, 2, 3],
      3,
      { joint: 1, mapped: false, first: 1, carriers: [0] },
    ],
    [
      'is not hips in another tree than most of the skin',
      [-1, 0, -1, 2, 3],
      [1, 3, 4],
      1,
      { joint: 3, mapped: false, first: 3, carriers: [2] },
    ],
    [
      'is not hips in another tree with nearly as much skin as the body',
      [-1, 0, -1, 2],
      [1, 1, 1, 1, 1, 3, 3, 3, 3, 3, 3],
      1,
      { joint: 3, mapped: false, first: 3, carriers: [2] },
    ],
    [
      'is not hips that move nothing, beside the skin',
      [-1, 0, 1, 1],
      [1, 2],
      3,
      { joint: 1, mapped: false, first: 1, carriers: [0] },
    ],
  ])('%s', async (_title, parents, movers, hips, expected) => {
    expect(bodyRoot(await tree(parents, movers, { hips }))).toMatchObject(expected);
  });

  test('by mapping does not hide that the chains are laid from a tip', async () => {
    // A tail of three, then a heap of branches: the body hangs on the end of the tail.
    const parents = [-1, 0, 1, 2, ...Array.from({ length: 12 }, () => 3)];
    const all = parents.map((_, joint) => joint);
    const [bare, mapped] = [await tree(parents, all, {}), await tree(parents, all, { hips: 3 })];
    expect(bodyRoot(mapped)).toMatchObject({ joint: 3, first: 0 });
    // Its first joints are no thinner than the others: it may well be a trunk.
    expect(rootIsTip(mapped)).toBe(false);
    expect(lever(mapped)).toEqual(lever(bare));
    expect(lever(mapped)?.best).toBe(3);
  });
});
