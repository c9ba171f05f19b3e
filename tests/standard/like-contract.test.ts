import { expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { cast } from '../../fixtures/cast/index.js';
import { raise } from '../../fixtures/kit/character.js';
import { plainOptions } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import { fitsPattern } from '../../src/measure/contract.js';
import { rigList } from '../../src/standard/like/agreement.js';
import { contractFacts, contractOf } from '../../src/standard/like/contract.js';
import { Loosening } from '../../src/standard/like/loosening.js';
import { type RigSeen, seeRigs } from '../../src/standard/like/rig-seen.js';
import { commentLines } from '../../src/standard/like/words.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { modelOf } from '../support/facts-of.js';
import { filesOf } from '../support/like-files.js';
import { tinyGlb } from '../support/tiny-rig.js';

const NOTHING_WANTED = { aim: null, up: null };

async function seenOf(builds: Parameters<typeof filesOf>[0]): Promise<RigSeen[]> {
  const files = Object.entries(filesOf(builds));
  const seen = await Promise.all(
    files.map(async ([name, bytes]) => seeRigs(await modelOf(bytes), name, NOTHING_WANTED)),
  );
  return seen.flat();
}

const puppets = { heron: build('heron'), mule: build('mule', { unitScale: 100 }) };
const made = seenOf(puppets).then(contractFacts);

/** What the kit built, for comparison: names of joints in its own puppets. */
const jointsOf = (name: 'heron' | 'mule'): string[] =>
  raise(cast[name], plainOptions.convention, plainOptions.flesh)
    .joints.filter(({ listed }) => listed)
    .map((joint) => joint.name);

it('joints that all have are those of every puppet, and the rest are counted', async () => {
  const [heron, mule] = [jointsOf('heron'), jointsOf('mule')];
  const { sharedJoints, otherJoints, most } = await made;
  const shared = heron.filter((name) => mule.includes(name));
  expect(shared.length).toBeGreaterThan(2);
  expect([...sharedJoints].sort()).toEqual(shared.sort());
  expect(otherJoints).toBe(heron.length + mule.length - 2 * shared.length);
  expect(most.joints).toEqual({ value: mule.length, rig: 'mule' });
});

it('clips are those of all, and those of some', async () => {
  expect(await made).toMatchObject({ sharedClips: [], otherClips: ['wade', 'plod'] });
  const herons = await seenOf({ a: build('heron'), b: build('heron') });
  expect(contractFacts(herons)).toMatchObject({ sharedClips: ['wade'], otherClips: [] });
  // Two of three are not all.
  const [still] = herons.map((rig) => ({ ...rig, clips: [] }));
  const three = contractFacts([...herons, ...(still ? [still] : [])]);
  expect([three.rigs, three.sharedClips, three.otherClips]).toEqual([3, [], ['wade']]);
});

it('sizes are those of the puppets, in the units of their files', async () => {
  const size = (name: 'heron' | 'mule'): number =>
    raise(cast[name], plainOptions.convention, plainOptions.flesh).size();
  const { sizes } = await made;
  expect(sizes?.least.rig).toBe('heron');
  expect(sizes?.least.value).toBeCloseTo(size('heron'), 4);
  expect(sizes?.most.value).toBeCloseTo(100 * size('mule'), 2);
});

it('counts are the most of any rig, with the rig', () => {
  const rig: RigSeen = {
    ...{
      rig: 'a',
      frames: 'aimed',
      aim: '+X',
      up: '+Y',
      mirror: null,
      isPosed: false,
      size: NaN,
      height: 0,
    },
    ...{ names: ['hips'], sided: [], clips: [], joints: 9, tops: 1, skinJoints: 8, influences: 4 },
  };
  const facts = contractFacts([rig, { ...rig, rig: 'b', tops: 3, influences: 6, joints: 2 }]);
  expect(facts.most).toEqual({
    joints: { value: 9, rig: 'a' },
    tops: { value: 3, rig: 'b' },
    skinJoints: { value: 8, rig: 'a' },
    influences: { value: 6, rig: 'b' },
    clips: { value: 0, rig: 'a' },
  });
  // A size that is no number is none.
  expect(facts.sizes).toBeNull();
});

it('names tell sides but for those of tips, whose side is that of their parent', async () => {
  const joint = (name: string, parent: number, x: number, y: number) => ({
    ...{ name, parent, at: [x, y, 0] as const },
  });
  const joints = [
    joint('hips', -1, 0, 1),
    joint('leg_L', 0, 0.2, 1),
    joint('leg_L_end', 1, 0.2, 0),
    joint('leg_R', 0, -0.2, 1),
    joint('leg_R_end', 3, -0.2, 0),
  ];
  const model = await modelOf(tinyGlb(joints, null));
  const [rig] = seeRigs(model, 'stilts', NOTHING_WANTED);
  expect([rig?.sided, rig?.names.length]).toEqual([['leg_L', 'leg_R'], 5]);
});

it('a line is a comment, whatever a file is called', () => {
  const evil = 'a\n"failing": "never"\u2028\u202e.glb';
  expect(rigList([evil])).toMatch(/^[\x20-\x7e]+$/);
  for (const line of commentLines(`Read off ${evil}.`)) expect(line).toMatch(/^\/\/[\x20-\x7e]+$/);
});

it('asks for what all have by names that stand for themselves, however odd they are', async () => {
  const facts = await made;
  const sharedJoints = ['a\nb', '\u2029"x": 1', 'y'.repeat(300), 'wing[1]*{a,b}\\', '// shin'];
  const lines = contractOf({ ...facts, sharedJoints }, new Loosening(rules), rules);
  for (const line of lines) expect(line).toMatch(/^[\x20-\x7e]+$/);
  const { settings } = parseStandard(`{ ${lines.join('\n')} }`, 'house.json', rules);
  const required = settings.wanted.contract?.joints?.required ?? [];
  expect(required).toHaveLength(sharedJoints.length);
  for (const [at, name] of sharedJoints.entries()) {
    const pattern = required[at];
    // A longer name than a pattern is tried on stands for itself.
    expect([name, pattern !== undefined && fitsPattern(pattern, name)]).toEqual([name, true]);
    expect(pattern !== undefined && fitsPattern(pattern, `${name}1`)).toBe(false);
  }
});

it('asks for heights from half of the lowest to twice the highest', async () => {
  const heights = { least: { value: 0.5, rig: 'a' }, most: { value: 1.8, rig: 'b' } };
  const lines = contractOf({ ...(await made), heights }, new Loosening(rules), rules);
  const { settings } = parseStandard(`{ ${lines.join('\n')} }`, 'house.json', rules);
  expect(settings.wanted.contract?.height).toMatchObject({ from: 0.25, to: 3.6, unit: 'm' });
  expect(
    contractOf({ ...(await made), heights: null }, new Loosening(rules), rules).join(),
  ).not.toContain('height"');
});
