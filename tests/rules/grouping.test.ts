import { describe, expect, it } from 'vitest';
import { buildPuppet, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { travel } from '../../fixtures/kit/clips.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { hungByFarEnds } from '../../fixtures/situations/hung-by-far-end.js';
import { checkBuilt } from '../support/check-built.js';

/** Findings of one rule: level, where each stands, and all that it lists. */
async function told(name: CastName, rule: string, change: (puppet: Puppet) => void) {
  const puppet = raisePuppet(name);
  change(puppet);
  const { findings } = await checkBuilt(buildPuppet(puppet));
  return findings
    .filter((finding) => finding.rule === rule)
    .map(({ level, place, places, message }) => ({
      level,
      at: place.name,
      all: places.map((item) => item.name),
      message,
    }));
}

const roll = (puppet: Puppet, ...turns: readonly (readonly [string, number])[]): void => {
  for (const [joint, degrees] of turns) puppet.turnFrame(joint, 'aim', degrees);
};

describe('one cause is one finding', () => {
  it.each([
    [
      'axis.aim',
      (p: Puppet) => p.turnPair('forearm_L', 'up', 20),
      'error',
      'forearm_L',
      'forearm_R',
    ],
    ['axis.uniform', (p: Puppet) => p.turnPair('shin_L', 'up', 180), 'error', 'shin_L', 'shin_R'],
    ['axis.up', (p: Puppet) => p.turnPair('shin_L', 'aim', 60), 'error', 'shin_L', 'shin_R'],
  ] as const)('%s tells twins as one', async (rule, change, level, left, right) => {
    const found = await told('marionette', rule, change);
    expect(found).toEqual([expect.objectContaining({ level, at: left, all: [left, right] })]);
    expect(found[0]?.message).toContain(`"${right}"`);
  });

  it('a twin stands at the worse of the two, and has its level', async () => {
    const found = await told('marionette', 'axis.up', (puppet) =>
      roll(puppet, ['shin_L', 12], ['shin_R', 70]),
    );
    expect(found).toEqual([
      expect.objectContaining({ level: 'error', at: 'shin_R', all: ['shin_L', 'shin_R'] }),
    ]);
  });

  it('a joint told by another rule is not told again with its twin', async () => {
    const change = (puppet: Puppet): void => {
      puppet.turnPair('shin_L', 'aim', 20);
      puppet.turnFrame('shin_L', 'side', 12);
    };
    expect(await told('marionette', 'axis.aim', change)).toEqual([
      expect.objectContaining({ at: 'shin_L', all: ['shin_L'] }),
    ]);
    expect(await told('marionette', 'axis.up', change)).toEqual([
      expect.objectContaining({ at: 'shin_R', all: ['shin_R'] }),
    ]);
  });

  it.each([
    [9, 25, []],
    [9, 40, ['neck_mid']],
    [9, 180, ['neck_mid']],
    [30, 55, []],
    [30, 180, ['neck_mid']],
  ])(
    'a neck joint that misses its aim by %i° and is rolled by %i° is one turn of a frame, or two faults',
    async (miss, rolled, all) => {
      const change = (puppet: Puppet): void => {
        puppet.turnFrame('neck_mid', 'aim', rolled);
        puppet.turnFrame('neck_mid', 'side', miss);
      };
      expect(await told('heron', 'axis.aim', change)).toHaveLength(1);
      expect((await told('heron', 'axis.up', change)).flatMap((one) => one.all)).toEqual(all);
    },
  );

  it('axis.up tells where limbs begin as one, apart from what is rolled within them', async () => {
    const found = await told('marionette', 'axis.up', (puppet) =>
      roll(puppet, ['thigh_L', 50], ['collarbone_R', 40], ['spine_mid', 45]),
    );
    expect(found.map(({ level, all }) => [level, [...all].sort()])).toEqual([
      ['error', ['spine_mid']],
      ['warning', ['collarbone_R', 'thigh_L']],
    ]);
  });

  it('axis.up tells a rig that is rolled at random as one', async () => {
    const found = await told('stag-beetle', 'axis.up', (puppet) => {
      puppet.joints.forEach(({ name }, at) => {
        if (at % 2 === 1) puppet.turnFrame(name, 'aim', 35 + ((at * 47) % 140));
      });
    });
    expect(found).toHaveLength(1);
    expect(found[0]?.all.length).toBeGreaterThan(5);
    expect(found[0]?.message).toContain('rolled at random');
  });

  it('axis.end tells all tips of a rig as one', async () => {
    const found = await told('heron', 'axis.end', (puppet) =>
      roll(puppet, ['beak_tip', 90], ['tail_tip', 40], ['wing_tip_L', 60]),
    );
    expect(found).toEqual([
      expect.objectContaining({ at: 'beak_tip', all: ['beak_tip', 'wing_tip_L', 'tail_tip'] }),
    ]);
  });

  it('axis.mirror tells a leg and an arm as one', async () => {
    const found = await told('marionette', 'axis.mirror', (puppet) => {
      for (const { name } of puppet.joints)
        if (/^(thigh|shin|foot|toe|forearm|upper_arm)_R$/.test(name)) roll(puppet, [name, 20]);
    });
    expect(found).toHaveLength(1);
    expect(found[0]?.all).toEqual(expect.arrayContaining(['shin_L', 'shin_R']));
  });

  it('chain.stretch tells all bones and clips of a rig as one', async () => {
    const found = await told('heron', 'chain.stretch', (puppet) => {
      const clip = puppet.clip();
      clip.channels.push(
        travel('neck_mid', [
          [0, 0, 0],
          [0, 0.03, 0],
        ]),
      );
      puppet.clips.push({
        name: 'stretch',
        channels: [
          travel('shin_L', [
            [0, 0, 0],
            [0, -0.02, 0],
          ]),
        ],
      });
    });
    expect(found).toEqual([
      expect.objectContaining({ level: 'warning', at: 'neck_mid', all: ['neck_mid', 'shin_L'] }),
    ]);
    expect(found[0]?.message).toContain('2 bones change in 2 clips');
  });

  it('chain.parent and chain.direction tell a pair of limbs as one', async () => {
    const onCarrier = faultNamed('thighs-on-the-carrier');
    expect(await told('marionette', 'chain.parent', (p) => onCarrier.apply(p, 2))).toEqual([
      expect.objectContaining({ at: 'thigh_L', all: ['thigh_L', 'thigh_R'] }),
    ]);
    const flat = faultNamed('legs-hung-flat');
    const leg = ['foot_L', 'foot_R', 'shin_L', 'shin_R', 'toe_L', 'toe_R'];
    expect(await told('marionette', 'chain.parent', (p) => flat.apply(p, 2))).toEqual([
      expect.objectContaining({ level: 'error', all: leg }),
    ]);
    // So too where the thighs hang on nothing, which is root.single's matter.
    const loose = faultNamed('legs-beside-root');
    const both = await told('marionette', 'chain.parent', (p) => {
      loose.apply(p, 2);
      flat.apply(p, 2);
    });
    expect(both).toEqual([expect.objectContaining({ level: 'error', all: leg })]);
    const byTheHoof = faultNamed('forelegs-hung-by-the-hoof');
    expect(await told('mule', 'chain.direction', (p) => byTheHoof.apply(p, 1))).toEqual([
      expect.objectContaining({
        at: 'fore_hoof_L',
        all: ['fore_hoof_L', 'fore_hoof_R'],
      }),
    ]);
  });
});

it('a limb whose flesh joins the body at its far end is past no limit that can be set', async () => {
  const messages = await Promise.all(
    hungByFarEnds.map(async ({ raise }) => {
      const { findings } = await checkBuilt(buildPuppet(raise({})));
      return findings.filter(({ rule }) => rule === 'chain.direction').map((each) => each.message);
    }),
  );
  const turned = messages.flat().filter((message) => message.includes('its flesh joins'));
  expect(turned.length).toBeGreaterThan(0);
  for (const message of turned) expect(message).toContain('times as far (it should be nearer)');
  expect(messages.flat().join()).not.toContain('limit 1 times');
});
