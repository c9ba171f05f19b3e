import { describe, expect, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { CastName } from '../../../fixtures/kit/fault.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { BuildOptions } from '../../../fixtures/kit/options.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { compose as composed, turnAbout } from '../../../fixtures/kit/turns.js';
import { add, subtract, times, type Vec3 } from '../../../fixtures/kit/vectors.js';
import { rules } from '../../../rules/index.js';
import { checkAssetBytes } from '../../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../../src/check/settings.js';
import type { ApprovedAsset } from '../../../src/rig/types.js';
import { approvedOf } from '../../support/check-built.js';
import { withLimit } from '../../support/findings-of.js';
import { cardSkin, chainJoints, tinyGlb } from '../../support/tiny-rig.js';

const fitting = rules.filter(({ family }) => family === 'fit');

function bytesOf(name: CastName, change: (puppet: Puppet) => void, options: BuildOptions = {}) {
  const puppet = raisePuppet(name, options);
  change(puppet);
  return mainFile(buildPuppet(puppet, options));
}

const unchanged = (): void => undefined;

async function report(
  approved: Uint8Array | ApprovedAsset,
  own: Uint8Array,
  change: Partial<Settings> = {},
) {
  const asset = approved instanceof Uint8Array ? await approvedOf(approved) : approved;
  const settings = { ...defaultSettings(fitting), ...change };
  return checkAssetBytes(own, { settings, approved: asset });
}

/** The six rules that this page is about; what clips show of them is told elsewhere. */
const SIX = ['missing', 'parent', 'frame', 'length', 'unit', 'extra'].map((name) => `fit.${name}`);

async function told(...args: Parameters<typeof report>) {
  const { findings } = await report(...args);
  return findings
    .filter(({ rule }) => SIX.includes(rule))
    .map(({ level, rule, places, message, remedy }) => ({
      told: `${level} ${rule}`,
      at: places.map(({ name }) => name),
      message,
      remedy,
    }));
}

function lengthen(puppet: Puppet, from: string, to: string, share: number): void {
  const way = subtract(puppet.joint(to).position, puppet.joint(from).position);
  for (const each of puppet.below(to)) puppet.moveJoint(each, times(way, share));
}

describe('fit.missing', () => {
  test('is an error where a clip of another file poses what moves nothing', async () => {
    const approved = await approvedOf(bytesOf('heron', unchanged));
    const own = bytesOf('heron', (puppet) => {
      puppet.joints.splice(puppet.joints.indexOf(puppet.joint('tail_tip')), 1);
    });
    expect((await told(approved, own)).map((each) => each.told)).toEqual(['warning fit.missing']);
    const library = await approvedOf(
      bytesOf('heron', (puppet) => {
        puppet.joints
          .reverse()
          .sort((a, b) => Number(a.parent !== null) - Number(b.parent !== null));
        const [clip] = puppet.clips;
        const [swing] = clip?.channels.filter(({ joint }) => joint === 'neck_low') ?? [];
        if (clip === undefined || swing === undefined) throw new Error('the neck swings');
        puppet.clips[0] = { ...clip, channels: [{ ...swing, joint: 'tail_tip' }] };
      }),
      'wave.glb',
    );
    const both = { ...approved, clips: [...approved.clips, ...library.clips] };
    expect(await told(both, own)).toEqual([
      {
        told: 'error fit.missing',
        at: ['tail_mid'],
        message: 'This rig lacks "tail_tip" of the approved rig; clips pose it.',
        remedy:
          'Add it under "tail_mid" as in the approved rig, or give the joint that stands for it its name.',
      },
    ]);
  });

  test('tells a limb that is missing on both sides once', async () => {
    const own = bytesOf('heron', (puppet) => {
      for (const side of ['L', 'R']) {
        const gone = new Set<string | number>(puppet.below(`shin_${side}`));
        const kept = puppet.joints.filter(({ name }) => !gone.has(name));
        puppet.joints.splice(0, puppet.joints.length, ...kept);
        for (const part of puppet.parts)
          part.influences = part.influences.map((list) =>
            list.map(
              ([joint, weight]): Influence => [gone.has(joint) ? `thigh_${side}` : joint, weight],
            ),
          );
      }
      puppet.clips.length = 0;
    });
    const found = await told(bytesOf('heron', unchanged), own);
    expect(found.map(({ told, message }) => [told, message])).toEqual([
      [
        'error fit.missing',
        'This rig lacks "shin_L", "shin_R" of the approved rig, with 4 joints below; clips pose 1 of them and 6 of them move skin there.',
      ],
    ]);
  });

  test('tells renamed joints with the names that they should have', async () => {
    const own = bytesOf('heron', (puppet) => {
      puppet.joint('neck_mid').label = 'lantern';
      for (const { name } of puppet.joints.filter(({ name }) => /^wing_\d/.test(name)))
        puppet.joint(name).label = name.replace(/^(\w+)_(\w+)_([LR])$/, '$3.$1.0$2');
    });
    const found = await told(bytesOf('heron', unchanged), own);
    expect(found.map(({ told, message, remedy }) => [told, message, remedy])).toEqual([
      [
        'error fit.missing',
        '6 joints have another name than in the approved rig: "L.wing.01" is "wing_1_L" there, "L.wing.02" is "wing_2_L" there, "L.wing.03" is "wing_3_L" there and 3 more.',
        'Give these joints the names that they have in the approved rig.',
      ],
      [
        'error fit.missing',
        'This rig lacks 1 joint of the approved rig, and another joint stands in its place: "lantern" in that of "neck_mid".',
        'Rename "lantern" to "neck_mid", if it was renamed.',
      ],
    ]);
  });

  test('tells both arms with the names of the other side once, and no frame of them', async () => {
    // Half a turn of the whole would lay the arms and the middle on each other, and the legs across.
    const own = buildGlb('marionette', { faults: [faultNamed('arms-of-the-other-side')] });
    const [found, ...more] = await told(buildGlb('marionette'), own);
    expect(more).toEqual([]);
    expect(found?.told).toBe('error fit.missing');
    expect(found?.message).toMatch(
      /^Left and right have each other's names: "collarbone_L" stands where "collarbone_R" belongs, /,
    );
    expect(found?.at).toHaveLength(32);
  });

  test('finds the joints of a body by its VRM mapping', async () => {
    const own = bytesOf(
      'marionette',
      (puppet) => {
        puppet.joints.forEach((joint, at) => {
          joint.label = `piece ${String.fromCharCode(97 + (at % 26))}${at}`;
        });
      },
      { vrm: '1.0' },
    );
    const found = await told(bytesOf('marionette', unchanged, { vrm: '1.0' }), own);
    // Those that the mapping does not name stand where they stood.
    expect(found.map((each) => each.told)).toEqual(['error fit.missing', 'error fit.missing']);
    const both = found.map(({ message }) => message.replace(/:.*/, ''));
    const { human, joints } = raisePuppet('marionette');
    expect(both).toEqual([
      `This rig lacks ${joints.length - human.size} joints of the approved rig, and other joints stand in their places`,
      `${human.size} joints have another name than in the approved rig`,
    ]);
  });

  test('says so where the two rigs have nothing in common', async () => {
    const found = await told(bytesOf('heron', unchanged), bytesOf('caterpillar', nameOver));
    expect(found.map(({ told, message }) => [told, message])).toEqual([
      ['error fit.missing', 'No joint of the approved rig is in this rig, by name or by place.'],
    ]);
    function nameOver(puppet: Puppet): void {
      puppet.joints.forEach((joint, at) => {
        joint.label = `piece${String.fromCharCode(97 + at)}`;
      });
    }
  });

  test('and fit.extra tell rigs that the other side does not have', async () => {
    const [one, two] = [await approvedOf(bytesOf('heron', unchanged)), bytesOf('mule', unchanged)];
    const both = await approvedOf(two);
    const rigs = [...one.model.rigs, ...both.model.rigs];
    const pair = { ...one, model: { ...one.model, rigs } };
    const less = await told(pair, bytesOf('heron', unchanged));
    expect(less.map(({ told, message }) => [told, message])).toEqual([
      [
        'error fit.missing',
        'No rig here answers to the rig "trunk" of the approved asset approved.glb, which has 34 joints.',
      ],
    ]);
    const none = { ...one, model: { ...one.model, rigs: [] } };
    const more = await told(none, two);
    expect(more.map(({ told, message }) => [told, message])).toEqual([
      [
        'warning fit.extra',
        'The approved asset approved.glb has no rig for "trunk", whose joints are all new.',
      ],
    ]);
  });
});

describe('one habit is one finding', () => {
  test('of both legs that are longer, bone by bone', async () => {
    const own = bytesOf('heron', (puppet) => {
      for (const side of ['L', 'R']) {
        lengthen(puppet, `shin_${side}`, `foot_${side}`, 0.1);
        lengthen(puppet, `thigh_${side}`, `shin_${side}`, 0.1);
      }
    });
    const found = await told(bytesOf('heron', unchanged), own);
    expect(found.map(({ told, at }) => [told, at])).toEqual([
      ['warning fit.length', ['shin_L', 'foot_L', 'shin_R', 'foot_R']],
    ]);
    expect(found[0]?.message).toContain(
      'is 10 % longer than in the approved rig: 0.212 m (12.1 % of size), not 0.192 m',
    );
    expect(found[0]?.message).toContain('; the same is true of "foot_L", "shin_R", "foot_R".');
  });

  test('of frames on both sides, and of two bones that differ there are two', async () => {
    const own = bytesOf('heron', (puppet) => {
      puppet.turnPair('shin_L', 'X', 20);
      puppet.turnFrame('neck_mid', 'Y', 12);
      puppet.turnFrame('tail_mid', 'Z', 40);
    });
    const found = await told(bytesOf('heron', unchanged), own);
    expect(found.map(({ told, at }) => [told, at])).toEqual([
      ['error fit.frame', ['neck_mid']],
      ['error fit.frame', ['tail_mid']],
      ['error fit.frame', ['shin_L', 'shin_R']],
    ]);
  });

  test('of frames that are turned the other way round on the other side', async () => {
    const own = bytesOf('heron', (puppet) => {
      puppet.turnFrame('shin_L', 'X', 20);
      puppet.turnFrame('shin_R', 'X', -20);
    });
    const found = await told(bytesOf('heron', unchanged), own);
    expect(found.map(({ told, at }) => [told, at])).toEqual([
      ['error fit.frame', ['shin_L', 'shin_R']],
    ]);
  });

  test('of a rig built to other measures', async () => {
    const own = bytesOf('mule', (puppet) => {
      puppet.joints.forEach((joint, at) => {
        const [x, y, z] = joint.position;
        joint.position = [x, y + 0.03 * Math.sin(7 * at), z + 0.03 * Math.cos(5 * at)];
      });
    });
    const found = await told(bytesOf('mule', unchanged), own);
    const lengths = found.filter((each) => each.told.endsWith('fit.length'));
    expect(lengths).toHaveLength(1);
    expect(lengths[0]?.message).toContain(' are off by less.');
    expect(lengths[0]?.at.length).toBeGreaterThan(20);
  });
});

describe('fit.unit', () => {
  test('tells bones that are stored in another unit and scaled back', async () => {
    const own = bytesOf('heron', (puppet) => {
      const holder = puppet.holders[0];
      if (holder === undefined) throw new Error('the heron has a stage');
      holder.scale = [0.01, 0.01, 0.01];
    });
    expect(await told(bytesOf('heron', unchanged), own)).toMatchObject([
      {
        told: 'error fit.unit',
        message:
          'The bones of this rig are stored 100 times as large as those of the approved rig (limit 10 times), and a node scales them by 0.01, as if it was made in centimetres and the approved rig in metres: a clip that moves joints moves them too little or too far.',
      },
    ]);
  });

  test('lets a giant be where the standard does', async () => {
    const giant = tinyGlb(chain(15), cardSkin(chain(15).map(({ at }) => at)));
    const approved = tinyGlb(chain(1), cardSkin(chain(1).map(({ at }) => at)));
    const found = await told(approved, giant);
    expect(found.map((each) => each.message)).toEqual([
      'This rig is 15 times as large as the approved rig (limit 10 times).',
    ]);
    expect(await told(approved, giant, withLimit('fit.unit', { times: 20, near: 1 }))).toEqual([]);
  });

  test('tells it of a flat rig, whose joints all hang on none', async () => {
    const flat = (by: number) => {
      const joints = chain(by).map((joint) => ({ ...joint, parent: -1 }));
      return tinyGlb(joints, cardSkin(joints.map(({ at }) => at)));
    };
    expect((await told(flat(1), flat(100))).map((each) => each.told)).toEqual(['error fit.unit']);
    expect(await told(flat(1), flat(1.5))).toEqual([]);
  });

  function chain(by: number) {
    const points = [0, 1, 2, 3.5].map((y) => [0.1 * y * by, y * by, 0] as const);
    return chainJoints(points);
  }
});

describe('fit.frame', () => {
  test('asks for the whole limb where it was bound in another pose', async () => {
    const own = bytesOf('mule', (puppet) => {
      const pivot = puppet.joint('foreleg_L').position;
      const turn = turnAbout([1, 0, 0], 20);
      for (const each of puppet.below('foreleg_L')) {
        const joint = puppet.joint(each);
        const at = subtract(joint.position, pivot);
        const [y, z] = [
          at[1] * Math.cos(Math.PI / 9) - at[2] * Math.sin(Math.PI / 9),
          at[1] * Math.sin(Math.PI / 9) + at[2] * Math.cos(Math.PI / 9),
        ];
        joint.position = [joint.position[0], pivot[1] + y, pivot[2] + z];
        joint.rotation = composed(turn, joint.rotation);
      }
    });
    const found = await told(bytesOf('mule', unchanged), own);
    expect(found.map(({ told, at, remedy }) => [told, at, remedy])).toEqual([
      [
        'error fit.frame',
        ['foreleg_L'],
        'In the bind pose, turn "foreleg_L", its children and its skin back by 20°.',
      ],
    ]);
  });

  test('asks for the frames alone where they were turned in place, alike or each by itself', async () => {
    const sound = bytesOf('heron', unchanged);
    const remedies = async (change: (puppet: Puppet) => void) =>
      (await told(sound, bytesOf('heron', change))).map(({ remedy }) => remedy);
    expect(await remedies((puppet) => puppet.turnFrame('neck_mid', 'Y', 12))).toEqual([
      'Turn only the frame back by 12°; leave the children and the skin in place.',
    ]);
    const each = await remedies((puppet) => {
      puppet.turnFrame('shin_L', 'X', 20);
      puppet.turnFrame('shin_R', 'Y', 30);
    });
    expect(each).toEqual(['Turn only the frames, to those of the approved rig.']);
  });

  test('says of a rig of the other side that it is a mirror image', async () => {
    const points: Vec3[] = [
      [0, 0, 0],
      [0.2, 1, 0],
      [0.9, 1.4, 0.3],
      [1, 2, 0.9],
      [1.4, 2.2, 2],
    ];
    const side = (by: number) => {
      const placed = points.map(([x, y, z]): Vec3 => [by * x, y, z]);
      const turns = placed.map(() => turnAbout([0, 1, 0], by < 0 ? 170 : 0));
      return tinyGlb(chainJoints(placed, turns), cardSkin(placed));
    };
    const found = await told(side(1), side(-1));
    expect(found.length).toBeGreaterThan(0);
    for (const { remedy } of found)
      expect(remedy).toMatch(/^This rig is the mirror image of the approved one: /);
    // Turned about, and its frames left: thin, it is nearly the same in a mirror.
    const thin = (by: number) => {
      const placed = points.map(([x, y, z]): Vec3 => [by * x, y, 0.3 * by * z]);
      return tinyGlb(chainJoints(placed), cardSkin(placed));
    };
    expect((await told(thin(1), thin(-1))).map(({ remedy }) => remedy).join()).not.toContain(
      'mirror',
    );
    const turned = await told(side(1), bytesTurned());
    expect(turned.map(({ remedy }) => remedy).join()).not.toContain('mirror');
    function bytesTurned() {
      return tinyGlb(
        chainJoints(
          points,
          points.map(() => turnAbout([0, 1, 0], 170)),
        ),
        cardSkin(points),
      );
    }
  });

  test('is a warning within 5 degrees, and goes by the limits of the standard', async () => {
    const own = bytesOf('heron', (puppet) => puppet.turnFrame('head', 'Y', 4));
    const sound = bytesOf('heron', unchanged);
    expect((await told(sound, own)).map((each) => each.told)).toEqual(['warning fit.frame']);
    const stricter = await told(sound, own, withLimit('fit.frame', { warn: 1, error: 3 }));
    expect(stricter.map((each) => each.told)).toEqual(['error fit.frame']);
    expect(await told(sound, own, withLimit('fit.frame', { warn: 4.5, error: 5 }))).toEqual([]);
  });
});

describe('fit.length', () => {
  const POINTS = [0, 1, 2, 3, 4, 5].map((y) => [0.2 * y * y, y, 0] as const);
  const rig = (points: readonly Vec3[], parents?: readonly number[]) => {
    const joints = chainJoints(points);
    return tinyGlb(
      joints.map((joint, at) => ({ ...joint, parent: parents?.[at] ?? joint.parent })),
      cardSkin(points),
    );
  };
  const moved = (by: Vec3): Vec3[] => POINTS.map((at, i) => (i === 2 ? add(at, by) : at));
  const FLAT = POINTS.map(() => -1);

  test('tells a joint that stands elsewhere, where all joints hang on none', async () => {
    // The box round the joints and their cards is a little over 5 wide and 5 high.
    const found = await told(rig(POINTS, FLAT), rig(moved([0, 0, 0.35]), FLAT));
    expect(found).toEqual([
      {
        told: 'warning fit.length',
        at: ['rod 3'],
        message:
          '"rod 3" hangs on no joint, and stands 0.35 m (4.92 % of size) away from its place in the approved rig (limit 1 % of size).',
        remedy:
          'Move "rod 3" back by 0.35 m (4.92 % of size), with all that hangs on it and the skin.',
      },
    ]);
    expect(await told(rig(POINTS, FLAT), rig(moved([0, 0, 0.03]), FLAT))).toEqual([]);
    const larger = POINTS.map((at) => add(times(at, 1.2), [5, 0, 0]));
    expect(await told(rig(POINTS, FLAT), rig(larger, FLAT))).toEqual([]);
  });

  test('holds each of several branches to its place, and one that carries all to none', async () => {
    const halves = [-1, 0, 1, 2, -1, 4];
    const apart = POINTS.map((at, i) => (i > 3 ? add(at, [0, 0, 0.35]) : at));
    const found = await told(rig(POINTS, halves), rig(apart, halves));
    expect(found.map(({ told, at }) => [told, at])).toEqual([['warning fit.length', ['rod 5']]]);
    const root = POINTS.map((at, i) => (i === 0 ? add(at, [0, 0, 0.35]) : at));
    const whole = await told(rig(POINTS), rig(root));
    expect(whole.map(({ at }) => at)).toEqual([['rod 2']]);
  });

  test('says by how much a bone is shorter, and how far its end is off where it points elsewhere', async () => {
    const straight = [0, 1, 2, 3].map((y) => [0, y, 0] as const);
    const bent = straight.map((at, i): Vec3 => (i === 3 ? [0.15, 2.45, 0] : at));
    const [found] = await told(rig(straight), rig(bent));
    expect(found?.message).toBe(
      'The bone from "rod 3" to "rod 4" is 52.6 % shorter than in the approved rig: 0.474 m (19.2 % of size), not 1 m (40.4 % of size); its end is 0.57 m (23 % of size) away from where it belongs, 57 % of the bone (limit 2 % of the bone).',
    );
  });

  test('has nothing to judge in a rig of one joint', async () => {
    const one = rig([[0, 0, 0]]);
    const { rigs } = await report(one, one);
    expect(rigs[0]?.measured.find(({ rule }) => rule === 'fit.length')).toMatchObject({
      kind: 'not applicable',
      because: 'no bone is in both rigs',
    });
  });
});

test('a bone of hardly any length is held to a hundredth of the skeleton', async () => {
  const rod = (shortest: number) => {
    const points = [0, 1, 2, 4, 4 + shortest].map((y) => [0, y, 0] as const);
    return tinyGlb(chainJoints(points), cardSkin(points));
  };
  // 0.0005 is half of the bone, but 1.25 % of what it is held to.
  expect(await told(rod(0.001), rod(0.0015))).toEqual([]);
  expect((await told(rod(0.001), rod(0.003))).map((each) => each.told)).toEqual([
    'warning fit.length',
  ]);
});

test('an extra joint that moves no skin is a note', async () => {
  const own = bytesOf('heron', (puppet) => {
    const { position, rotation } = puppet.joint('beak_tip');
    for (const name of ['hook', 'line'])
      puppet.joints.push({
        name,
        parent: 'beak_tip',
        position: [position[0], position[1] - (name === 'hook' ? 0.1 : 0.3), position[2]],
        rotation,
        scale: [1, 1, 1],
        weighted: false,
        listed: true,
      });
  });
  expect(await told(bytesOf('heron', unchanged), own)).toEqual([
    {
      told: 'note fit.extra',
      at: ['hook', 'line'],
      message: 'The approved rig does not have "hook", "line"; they move no skin.',
      remedy: 'Leave them out of the export.',
    },
  ]);
});
