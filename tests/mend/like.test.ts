import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { Convention } from '../../fixtures/kit/frames.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { subtract, times } from '../../fixtures/kit/vectors.js';
import { compareFindings } from '../../src/mend/compare-findings.js';
import { harmsOf } from '../../src/mend/harms.js';
import type { MendResult } from '../../src/mend/mend-asset.js';
import { isSeen } from '../../src/mend/proof/proof.js';
import { changed, soundAsset } from '../support/beside-approved.js';
import { approvedOf } from '../support/check-built.js';
import { turnBranch } from '../support/turn-branch.js';
import { fitFindings, LIKE, mendedLike } from './made-like.js';

const CAST: readonly CastName[] = ['heron', 'mule', 'stag-beetle', 'caterpillar', 'marionette'];

const OTHER: Convention = { aim: '-X', up: '+Z', mirror: 'negate-all' };

/** What clips may show that is off after a mend: what numbers of 32 bits leave. Degrees, and % of size. */
const ROUNDING = 1e-3;

/** Nothing is left against the approved asset, nothing is seen of it, and its clips show the same. */
function expectAlike({ before, after, offending, proof, played, left }: MendResult): void {
  expect(fitFindings(before)).not.toEqual([]);
  expect(fitFindings(after)).toEqual([]);
  expect(left).toEqual([]);
  expect(offending).toBeNull();
  expect(proof.poses).toBeGreaterThan(1);
  expect(isSeen(proof)).toBe(false);
  expect(played).toHaveLength(1);
  for (const rig of played ?? []) {
    expect(rig.clips).toBeGreaterThan(0);
    expect(rig.after.degrees).toBeLessThan(ROUNDING);
    expect(rig.after.percent).toBeLessThan(ROUNDING);
    expect(rig.after.unfound).toBe(0);
  }
}

function swapSides(puppet: Puppet): void {
  for (const joint of puppet.joints)
    joint.label = joint.name.replace(/_[LR]$/, (side) => (side === '_L' ? '_R' : '_L'));
}

describe.each(CAST)('%s', (name) => {
  test('of another convention gets the frames of the approved one, and is mended once', async () => {
    const approved = await soundAsset(name);
    const bytes = changed(name, () => {}, { convention: OTHER });
    const result = await mendedLike(bytes, approved);
    expectAlike(result);
    expect(result.played?.[0]?.before.degrees).toBeGreaterThan(5);
    const again = await mendedLike(result.files.main, approved);
    expect(again.changes).toEqual([]);
    expect(Buffer.compare(again.files.main, result.files.main)).toBe(0);
  });

  test('with a prefix on every name and one joint of quite another name gets the approved ones', async () => {
    const bytes = changed(name, (puppet) => {
      for (const joint of puppet.joints) joint.label = `theatre:${joint.name}`;
      const [root] = puppet.joints;
      if (root !== undefined) root.label = 'theatre:lantern';
    });
    const result = await mendedLike(bytes, await soundAsset(name));
    expectAlike(result);
    expect(result.played?.[0]?.before.unfound).toBeGreaterThan(0);
    expect(result.changes.every(({ rule }) => rule === 'fit.missing')).toBe(true);
  });

  test("whose left and right have each other's names all over gets them right", async () => {
    const result = await mendedLike(changed(name, swapSides), await soundAsset(name));
    expectAlike(result);
    expect(result.played?.[0]?.before.degrees).toBeGreaterThan(5);
  });
});

test('frames and names at once, in a limb whose frames are turned by little, too', async () => {
  const bytes = changed('heron', (puppet) => {
    puppet.turnFrame('shin_L', 'X', 90);
    puppet.turnFrame('foot_L', 'X', 0.6);
    puppet.joint('foot_L').label = 'lantern';
  });
  const result = await mendedLike(bytes, await soundAsset('heron'));
  expectAlike(result);
  expect(result.changes.map(({ rule, before }) => `${rule} ${before}`)).toEqual([
    'fit.frame frame 90° off',
    'fit.frame frame 0.6° off',
    'fit.missing "lantern"',
  ]);
});

test('what is off by less than the limit everywhere stays as it is', async () => {
  const bytes = changed('heron', (puppet) => puppet.turnFrame('foot_L', 'X', 0.6));
  const { changes, files } = await mendedLike(bytes, await soundAsset('heron'));
  expect(changes).toEqual([]);
  expect(Buffer.compare(files.main, bytes)).toBe(0);
});

test('a rig under a holder that mirrors it is turned in the mirror', async () => {
  const bytes = changed('mule', (puppet) => {
    puppet.turnFrame('fore_cannon_L', 'X', 40);
    puppet.turnFrame('thigh_R', 'Y', -70);
    puppet.edits.push((json) => {
      const [scene] = json.scenes;
      if (scene === undefined) return;
      json.nodes.push({ name: 'mirror', scale: [-1, 1, 1], children: scene.nodes });
      scene.nodes = [json.nodes.length - 1];
    });
  });
  // The mirror itself stays: it is another fault.
  expectAlike(await mendedLike(bytes, await soundAsset('mule'), { only: LIKE }));
});

describe('what is not mended is left with what is to be done', () => {
  test('other lengths, joints that are not there and other parents', async () => {
    const bytes = changed('heron', (puppet) => {
      const way = subtract(puppet.joint('head').position, puppet.joint('neck_high').position);
      for (const joint of puppet.below('head')) puppet.moveJoint(joint, times(way, 0.1));
      puppet.joint('wing_1_L').parent = 'spine_low';
      puppet.joints.splice(puppet.joints.indexOf(puppet.joint('tail_tip')), 1);
      puppet.turnFrame('shin_R', 'X', 30);
    });
    const result = await mendedLike(bytes, await soundAsset('heron'));
    expect(result.changes.map(({ rule, place }) => `${rule} ${place}`)).toEqual([
      'fit.frame body/thigh_R/shin_R',
    ]);
    const left = result.left.map(({ rule, why }) => `${rule}: ${why}`).join('\n');
    expect(left).toMatch(/^fit\.length: The bone from "neck_high" to "head" is 10 % longer/m);
    expect(left).toMatch(/^fit\.missing: This rig lacks "tail_tip" of the approved rig/m);
    expect(left).toMatch(/^fit\.parent: "wing_1_L" hangs on "spine_low"/m);
    expect(new Set(result.left.map(({ rule }) => rule)).size).toBe(3);
  });

  test('a limb bound in another pose: its frame alone would no longer fit what hangs on it', async () => {
    const bytes = changed('mule', (puppet) => {
      turnBranch(puppet, 'fore_cannon_L', [0, 0, 1], 25);
      // Nobody sees so little beside it.
      puppet.turnFrame('tail_mid', 'X', 0.6);
    });
    const result = await mendedLike(bytes, await soundAsset('mule'), { only: LIKE });
    expect(result.changes).toEqual([]);
    expect(result.left.map(({ rule, why }) => `${rule}: ${why}`)).toEqual([
      'fit.frame: it is bound in another pose than in the approved rig, with all that hangs on it; bind the mesh again in the pose of the approved rig',
    ]);
  });

  test('a joint that alone is mirrored', async () => {
    const bytes = changed('mule', (puppet) => {
      puppet.turnFrame('tail_tip', 'X', 50);
      puppet.joint('tail_tip').scale = [-1, 1, 1];
    });
    const result = await mendedLike(bytes, await soundAsset('mule'), { only: LIKE });
    expect(result.changes).toEqual([]);
    expect(result.left.map(({ why }) => why)).toContain(
      'its transform mirrors, and no turn can undo that',
    );
  });

  test('names of the other side that would hang on a joint of this side', async () => {
    // The places of both lower arms are exchanged, with all that hangs on them.
    const bytes = changed('marionette', (puppet) => {
      for (const name of puppet.below('forearm_L')) {
        const [left, right] = [puppet.joint(name), puppet.joint(name.replace(/_L$/, '_R'))];
        [left.position, right.position] = [right.position, left.position];
      }
    });
    const result = await mendedLike(bytes, await soundAsset('marionette'), { only: LIKE });
    expect(result.changes.filter(({ rule }) => rule === 'fit.missing')).toEqual([]);
    const left = result.left.filter(({ rule }) => rule === 'fit.missing');
    expect(left.length).toBeGreaterThan(2);
    for (const { why } of left) expect(why).toMatch(/^with the name of the other side/);
  });

  test('a joint whose name another node has', async () => {
    const bytes = changed('heron', (puppet) => {
      puppet.joint('shin_L').label = 'lantern';
      puppet.edits.push((json) => {
        json.scenes[0]?.nodes.push(json.nodes.push({ name: 'shin_L' }) - 1);
      });
    });
    const result = await mendedLike(bytes, await soundAsset('heron'));
    expect(result.changes).toEqual([]);
    expect(result.left.map(({ rule, why }) => `${rule}: ${why}`)).toEqual([
      'fit.missing: another node is named "shin_L"',
    ]);
  });
});

test('what clips show because of another stored pose was there before, and is no news', async () => {
  const bytes = changed('heron', (puppet) => {
    puppet.turnFrame('shin_L', 'aim', 90);
    puppet.pose('wing_2_L', 'side', 12);
  });
  const result = await mendedLike(bytes, await soundAsset('heron'), { also: LIKE, only: LIKE });
  const { before, after } = result;
  expect(fitFindings(before)).toEqual(['fit.frame body/thigh_L/shin_L']);
  expect(fitFindings(after).map((line) => line.split(' ')[0])).toEqual(['fit.play']);
  expect(compareFindings(before, after).fresh).toEqual([]);
  expect(harmsOf(before, after).size).toBe(0);
  expect(result.left.map(({ rule }) => rule)).toEqual(['fit.play']);
});

test('unasked, nothing is made like it, and the way to ask for it is told', async () => {
  const rename = (puppet: Puppet): void => {
    puppet.joint('foot_L').label = 'lantern';
  };
  const bytes = changed('heron', rename, { convention: OTHER });
  const result = await mendedLike(bytes, await soundAsset('heron'), {});
  expect(result.changes).toEqual([]);
  expect(result.played).toBeNull();
  const left = result.left.filter(({ rule }) => rule.startsWith('fit.'));
  expect(left.map(({ why }) => why)).toEqual(
    LIKE.map(
      (rule) =>
        `the rig is only made like the approved one when asked; add --like with the approved file, or --also ${rule}`,
    ),
  );
});

test('without an approved asset nothing is judged or played', async () => {
  const { before, played, changes } = await mendedLike(buildGlb('heron'), null);
  expect([fitFindings(before), played, changes]).toEqual([[], null, []]);
});

test('where the approved rig breaks a convention, the rig follows it there and is not turned back', async () => {
  const odd = changed('heron', (puppet) => puppet.turnFrame('shin_L', 'aim', 90));
  const approved = await approvedOf(odd, 'approved.glb');
  const result = await mendedLike(buildGlb('heron'), approved);
  expect(fitFindings(result.after)).toEqual([]);
  expect(result.changes.map(({ rule }) => rule)).toEqual(['fit.frame']);
  expect(result.left.map(({ rule, why }) => `${rule}: ${why}`)).toEqual([
    'axis.up: the rig is made like the approved one, which may have another convention',
  ]);
});

describe('what the clips of the approved rig would show farther off is not mended', () => {
  test('a scale above the rig stays where they count on it', async () => {
    // A twentieth as large in the world, and stored with the same numbers.
    const bytes = changed(
      'mule',
      (puppet) => {
        const by = 0.05;
        for (const joint of puppet.joints) joint.position = times(joint.position, by);
        for (const part of puppet.parts)
          part.positions = part.positions.map((place) => times(place, by));
        scaleMoves(puppet, by);
        puppet.holders.push({
          name: 'stage',
          move: [0, 0, 0],
          turn: [0, 0, 0, 1],
          scale: [by, by, by],
        });
      },
      { convention: OTHER },
    );
    const result = await mendedLike(bytes, await soundAsset('mule'));
    expect(new Set(result.changes.map(({ rule }) => rule))).toEqual(new Set(['fit.frame']));
    expect(result.played?.[0]?.after.percent).toBeLessThan(ROUNDING);
    expect(result.left.map(({ rule, why }) => `${rule}: ${why.slice(0, 60)}`)).toEqual([
      'fit.unit: This rig is 20 times smaller than the approved rig (limit 10',
      'scale.unit: a mend of it would make the clips of the approved rig show t',
    ]);
    expect(fitFindings(result.after)).toEqual(['fit.unit trunk']);
  });
});

function scaleMoves(puppet: Puppet, by: number): void {
  for (const [at, clip] of puppet.clips.entries())
    puppet.clips[at] = {
      ...clip,
      channels: clip.channels.map((channel) =>
        channel.path === 'translation'
          ? { ...channel, moves: channel.moves.map((move) => times(move, by)) }
          : channel,
      ),
    };
}
