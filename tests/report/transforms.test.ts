// Source of the schema check: JSON Schema draft-07, by ajv.
import { Ajv } from 'ajv';
import { describe, expect, it } from 'vitest';
import { build, buildGlb, mainFile } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import { rules } from '../../rules/index.js';
import { AssetError } from '../../src/asset/errors.js';
import { joinReports } from '../../src/batch/join-reports.js';
import { ReportCache } from '../../src/batch/report-cache.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { makeReport } from '../../src/check/make-report.js';
import { ReportBudget } from '../../src/check/report-budget.js';
import { transformsOf } from '../../src/check/report-transforms.js';
import { defaultSettings } from '../../src/check/settings.js';
import { writeJson } from '../../src/report/json.js';
import { parseReport } from '../../src/report/read-report.js';
import { reportSchema } from '../../src/report/report-schema.js';
import type { AssetReport, RigReport } from '../../src/report/report-types.js';
import { factsOf } from '../support/facts-of.js';
import { tempFolder } from '../support/temp-folder.js';
import { chainJoints, tinyGlb } from '../support/tiny-rig.js';

const settings = defaultSettings(rules);

const checked = (bytes: Uint8Array, transforms = true): Promise<AssetReport> =>
  checkAssetBytes(bytes, { settings, transforms, name: 'puppet.glb' });

const heron = await checked(mainFile(build('heron')));
const plain = await checked(mainFile(build('heron')), false);

function onlyRig({ rigs }: AssetReport): RigReport {
  const [rig] = rigs;
  if (rig === undefined || rigs.length !== 1) throw new Error(`${rigs.length} rigs, not one`);
  return rig;
}

function jointOf(report: AssetReport, name: string) {
  const { joints } = onlyRig(report);
  const found = joints.find((joint) => joint.name === name);
  if (found?.transforms === undefined) throw new Error(`no transforms of ${name}`);
  return { ...found, transforms: found.transforms, joints };
}

/** Two rods: the second is turned by 90 degrees about Z, scaled, and stored off where it was bound. */
const posed = tinyGlb(
  chainJoints([
    [0, 0, 0],
    [0, 1, 0],
  ]),
  null,
  ({ nodes }) => {
    Object.assign(nodes[1] ?? {}, {
      translation: [0, 3, 0],
      rotation: [0, 0, Math.SQRT1_2, Math.SQRT1_2],
      scale: [1, 2, 1],
    });
  },
);

describe('the transforms of joints', () => {
  it('are not told unless they are asked for, and change nothing else', () => {
    const without = {
      ...heron,
      rigs: heron.rigs.map(({ clipList: _, ...rig }) => ({
        ...rig,
        joints: rig.joints.map(({ transforms: __, ...joint }) => joint),
      })),
    };
    expect(without).toEqual(plain);
    expect(onlyRig(heron).joints.every(({ transforms }) => transforms !== undefined)).toBe(true);
    expect(onlyRig(heron).clipList).toBeDefined();
  });

  it('are told as bound, as stored, and as stored against the parent', async () => {
    const { transforms } = jointOf(await checked(posed), 'rod 2');
    expect(transforms.bind.map(plainNumber)).toEqual([
      1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 1,
    ]);
    expect(transforms.rest.map(plainNumber)).toEqual([
      0, 1, 0, 0, -2, 0, 0, 0, 0, 0, 1, 0, 0, 3, 0, 1,
    ]);
    expect(transforms.local.translation).toEqual([0, 3, 0]);
    const half = plainNumber(Math.SQRT1_2);
    expect(transforms.local.rotation.map(plainNumber)).toEqual([0, 0, half, half]);
    expect(transforms.local.scale.map(plainNumber)).toEqual([1, 2, 1]);
  });

  it.each(castNames)('stand where the joints of the %s stand', async (name) => {
    for (const { place, transforms } of onlyRig(await checked(buildGlb(name))).joints)
      expect(transforms?.bind.slice(12, 15)).toEqual(place);
  });

  it('tell skewed axes that no translation, rotation and scale hold', async () => {
    const skewed = [1, 0, 0, 0, 0.5, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 1];
    const bytes = tinyGlb(
      chainJoints([
        [0, 0, 0],
        [0, 1, 0],
      ]),
      null,
      ({ nodes }) => {
        const { children: _, translation: __, rotation: ___, ...rest } = nodes[1] ?? {};
        nodes[1] = { ...rest, matrix: skewed };
      },
    );
    expect(jointOf(await checked(bytes), 'rod 2').transforms.rest).toEqual(skewed);
  });
});

describe('the frame of a joint', () => {
  it('has the axes of its side, and misses its aim by nothing in a sound rig', () => {
    const { transforms, joints } = jointOf(heron, 'shin_L');
    const { aim, up } = onlyRig(heron).conventions;
    const { frame } = transforms;
    expect([frame.aim, frame.up]).toEqual([aim?.left, up]);
    expect(joints[frame.aimJoint ?? -1]?.name).toBe('foot_L');
    expect(frame.miss).toBeLessThan(0.1);
  });

  it('misses by what the rule about aims finds', async () => {
    const report = await checked(buildGlb('heron', { faults: [faultNamed('crooked-neck')] }));
    const [found] = report.findings.filter(({ rule }) => rule === 'axis.aim');
    const joint = onlyRig(report).joints[found?.place.joint ?? -1];
    expect(found?.measured).toBeGreaterThan(5);
    expect(joint?.transforms?.frame.miss).toBe(found?.measured);
  });

  it('has no axis where the rig shows none, and no angle where nothing is aimed at', async () => {
    const alone = await checked(tinyGlb(chainJoints([[0, 0, 0]]), null));
    const none = { aim: null, up: null, aimJoint: null, miss: null };
    expect(jointOf(alone, 'rod 1').transforms.frame).toEqual(none);
  });
});

describe('the list of clips', () => {
  it('has the channels of each with their keys', () => {
    const { clipList = [], joints, clips } = onlyRig(heron);
    expect(clipList).toHaveLength(clips);
    const [wade] = clipList;
    expect(wade).toMatchObject({ index: 0, name: 'wade', first: 0, last: 2, duration: 2 });
    // Keys at halves and whole seconds.
    expect([wade?.keys, wade?.rate]).toEqual([5, 2]);
    const told = wade?.channels.map(({ joint, path, interpolation, keys }) =>
      [joints[joint ?? -1]?.name, path, interpolation, keys].join(' '),
    );
    expect(told?.sort()).toEqual([
      'body translation LINEAR 3',
      'neck_low rotation LINEAR 5',
      'shin_L rotation LINEAR 5',
      'thigh_L rotation LINEAR 5',
      'thigh_R rotation LINEAR 5',
    ]);
  });

  it('names nodes above the joints by their index alone', async () => {
    const bytes = tinyGlb(chainJoints([[0, 0, 0]]), null, (json) => {
      json.nodes.push({ name: 'cart', children: [0] });
      json.scenes = [{ name: 'theatre', nodes: [2] }];
      addClips(json, 1, [0, 2]);
    });
    const { clipList } = onlyRig(await checked(bytes));
    const key = { path: 'translation', interpolation: 'STEP', keys: 1, first: 0, last: 0 };
    expect(clipList).toEqual([
      {
        index: 0,
        name: 'wade',
        ...{ keys: 1, first: 0, last: 0, duration: 0, rate: null },
        channels: [
          { node: 0, joint: 0, ...key },
          { node: 2, joint: null, ...key },
        ],
      },
    ]);
  });
});

describe('as JSON', () => {
  const report = makeReport([heron], settings);
  const text = writeJson(report);

  it('they are what the schema describes, and are read again', () => {
    const validate = new Ajv({ allErrors: true, allowUnionTypes: true }).compile(reportSchema);
    validate(JSON.parse(text));
    expect(validate.errors).toBeNull();
    expect(parseReport(text, 'the report')).toMatchObject({ transforms: true });
    expect(JSON.parse(writeJson(makeReport([plain], settings)))).not.toHaveProperty('transforms');
  });

  it('a matrix takes one line, of sixteen numbers of nine digits', () => {
    const lines = text.split('\n').filter((line) => line.includes('"bind": ['));
    expect(lines).toHaveLength(onlyRig(heron).joints.length);
    for (const line of lines) {
      const numbers = JSON.parse(line.slice(line.indexOf('['), line.indexOf(']') + 1));
      expect(numbers).toHaveLength(16);
      for (const value of numbers) expect(value).toBe(Number(Number(value).toPrecision(9)));
    }
  });

  it('the values are the same as on lines of their own, whatever is in a name', () => {
    const hostile = '[\n  1,\n  2]  [ 3,  4 ] \\[\n';
    const rigs = heron.rigs.map((rig) => ({ ...rig, name: hostile }));
    const renamed = { ...makeReport([{ ...heron, rigs }], settings) };
    const { transforms: _, ...onLines } = renamed;
    const { transforms: __, ...read } = JSON.parse(writeJson(renamed));
    expect(read).toEqual(JSON.parse(writeJson(onLines)));
    expect(read.assets[0].rigs[0].name).toBe(hostile);
  });

  it.each(castNames)('the %s makes a report that is two to three times as long', async (name) => {
    const bytes = buildGlb(name);
    const long = (asset: AssetReport): number => writeJson(makeReport([asset], settings)).length;
    const times = long(await checked(bytes)) / long(await checked(bytes, false));
    expect(Math.round(times)).toBeGreaterThanOrEqual(2);
    expect(times).toBeLessThan(3);
  });

  it('a report with them is not joined with one without', () => {
    const join = (...reports: (typeof report)[]) =>
      joinReports(reports.map((each, at) => ({ name: `part-${at}.json`, report: each })));
    const other = { ...heron, path: 'mule.glb' };
    expect(join(report, makeReport([other], settings))).toMatchObject({ transforms: true });
    expect(() => join(report, makeReport([{ ...plain, path: 'mule.glb' }], settings))).toThrow(
      'part-0.json and part-1.json were made with a different choice of --transforms: with it and without it',
    );
  });
});

describe('what is kept of them', () => {
  const key = { file: 'f'.repeat(64), all: 'a'.repeat(64) };
  const cache = () => new ReportCache({ folder: tempFolder(), settings: 'house' });

  it('is given out as it was put', () => {
    const kept = cache();
    kept.put(key, heron);
    expect(kept.get(key, heron.path, false)).toEqual(JSON.parse(JSON.stringify(heron)));
  });

  it.each([
    ['a frame aims at', (rig: RigReport, past: number) => aimedAt(rig, past)],
    ['a channel is of', (rig: RigReport, past: number) => channelOf(rig, past)],
  ])('counts as none where a joint that %s is not there', (_, change) => {
    const past = onlyRig(heron).joints.length;
    const kept = (joint: number): AssetReport | null => {
      const place = cache();
      place.put(key, { ...heron, rigs: heron.rigs.map((rig) => change(rig, joint)) });
      return place.get(key, heron.path, false);
    };
    expect(kept(past)).toBeNull();
    expect(kept(past - 1)).not.toBeNull();
  });
});

describe('their budget', () => {
  it('refuses more than it has room for, and says what to leave out', async () => {
    const facts = await factsOf(buildGlb('heron'));
    const taken = (letters: number) => () => transformsOf(facts, new ReportBudget(letters));
    expect(taken(1000)).toThrow(AssetError);
    expect(taken(1000)).toThrow(/for the transforms of its joints; leave out --transforms$/);
    expect(taken(100_000)).not.toThrow();
    const many = { ...facts, rig: { ...facts.rig, clips: Array(2000).fill(facts.rig.clips[0]) } };
    expect(() => transformsOf(many, new ReportBudget(200_000))).toThrow(
      /for its clips and their channels; leave out --transforms$/,
    );
  });

  it('is one of their own: what fits without them is not refused for the sake of the rest', async () => {
    // Names take nine tenths of the room for one file, and transforms an eighth of it.
    const sticks = Array.from({ length: 2200 }, (_, at) => ({
      name: `stick ${at}`,
      parent: 0,
      at: [0, at / 1000, 0] as const,
    }));
    const top = { name: 'n'.repeat(3400), parent: -1, at: [0, 0, 0] as const };
    const report = await checked(tinyGlb([top, ...sticks], null));
    expect(report.unreadable).toBeNull();
    expect(onlyRig(report).joints.every(({ transforms }) => transforms !== undefined)).toBe(true);
  });

  it('makes an asset unreadable only where they are asked for', async () => {
    const bytes = tinyGlb(chainJoints([[0, 0, 0]]), null, (json) => {
      addClips(json, 3, Array(36_000).fill(0));
    });
    const { unreadable } = await checked(bytes);
    expect(unreadable?.reason).toMatch(
      /more than \d+ letters.*for its clips and their channels; leave out --transforms$/,
    );
    expect((await checked(bytes, false)).unreadable).toBeNull();
  });
});

/** Adds clips of one key, all with the same channels: a node each. */
function addClips(json: GltfJson, count: number, nodes: readonly number[]): void {
  const from = json.accessors?.length ?? 0;
  const channels = nodes.map((node) => ({ sampler: 0, target: { node, path: 'translation' } }));
  const samplers = [{ input: from, output: from + 1, interpolation: 'STEP' }];
  const clip = { name: 'wade', samplers, channels };
  const times = { componentType: 5126, count: 1, type: 'SCALAR', min: [0], max: [0] };
  const moves = { componentType: 5126, count: 1, type: 'VEC3' };
  Object.assign(json, {
    animations: Array(count).fill(clip),
    accessors: [...(json.accessors ?? []), times, moves],
  });
}

/** Free of -0 and of rounding. */
function plainNumber(value: number): number {
  return Number(value.toFixed(6)) + 0;
}

function aimedAt(rig: RigReport, aimJoint: number): RigReport {
  const joints = rig.joints.map((joint) => {
    const { transforms } = joint;
    if (transforms === undefined) return joint;
    return { ...joint, transforms: { ...transforms, frame: { ...transforms.frame, aimJoint } } };
  });
  return { ...rig, joints };
}

function channelOf(rig: RigReport, joint: number): RigReport {
  const clipList = (rig.clipList ?? []).map((clip) => ({
    ...clip,
    channels: clip.channels.map((channel) => ({ ...channel, joint })),
  }));
  return { ...rig, clipList };
}
