import { describe, expect, it } from 'vitest';
import { build, buildPuppet, raisePuppet } from '../../fixtures/build.js';
import { cast, castNames } from '../../fixtures/cast/index.js';
import { faultNamed, faults } from '../../fixtures/faults/index.js';
import { turnAbout } from '../../fixtures/kit/turns.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { standardLike } from '../../src/standard/like/like.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { aimedConventions, tell, worldAligned } from '../fixtures/conventions.js';
import { approved, asJavaScript, filesOf, likeOf, verdicts } from '../support/like-files.js';
import { chainJoints, tinyGlb, tubeSkin } from '../support/tiny-rig.js';

/** The mirror schemes of the fixtures, in our words. */
const SCHEMES = {
  'negate-all': 'all reversed',
  'negate-aim': 'aim reversed',
  'negate-up': 'up reversed',
  'negate-side': 'side reversed',
} as const;

const wantedIn = (text: string) => parseStandard(text, 'like.json', rules).settings.wanted;

describe('a standard made from sound rigs', () => {
  it.each(castNames)('%s: grants nothing, and the rig is sound under it', async (name) => {
    const files = filesOf({ [`${name}.glb`]: build(name) });
    const like = await likeOf(files);
    expect([like.rigs, like.limits, like.levels, like.disagreements]).toEqual([1, [], [], []]);
    expect(await verdicts(like, files)).toEqual({ [`${name}.glb`]: 'sound' });
    const { wanted, ...settings } = parseStandard(like.text, 'like.json', rules).settings;
    const { wanted: _, ...defaults } = defaultSettings(rules);
    // The contract sets two limits, here to what they are by default.
    const limits = new Map(
      Object.entries({ 'root.single': { joints: 1 }, 'skin.budget': { influences: 4 } }),
    );
    const levels = new Map([['skin.budget', 'warning']]);
    expect(settings).toEqual({ ...defaults, limits, levels });
    expect(wanted).toMatchObject({ aim: { index: 1, sign: 1 }, up: { index: 2, sign: 1 } });
    expect(wanted.names?.text).toBe('{name}{_number}{_side}');
  });

  it('all of the cast: has their axes, their names, and each of them is sound under it', async () => {
    const files = filesOf(Object.fromEntries(castNames.map((name) => [name, build(name)])));
    const like = await likeOf(files);
    expect([like.rigs, like.disagreements]).toEqual([5, []]);
    expect(new Set(Object.values(await verdicts(like, files)))).toEqual(new Set(['sound']));
    expect(asJavaScript(like.text)).toEqual({
      alone: true,
      conventions: { aim: '+Y', up: '+Z', mirror: 'side reversed', unit: 'm' },
      names: { pattern: '{name}{_number}{_side}', sides: 'L/R', digits: 1 },
      ...{ rest: 'bind', failing: 'error', levels: {}, limits: {} },
      contract: {
        joints: { required: ['head'], most: 48, roots: 1, influences: 4 },
        clips: { most: 2 },
        height: { from: 0.0833, to: 3.36, unit: 'm' },
      },
    });
  });

  it('tells what only some have: sizes, mirroring, joints and clips', async () => {
    const { text } = await likeOf(
      filesOf({ 'heron.glb': build('heron'), 'marionette.glb': build('marionette') }),
    );
    const comments = text.replace(/\n *\/\/ {2,}/g, ' ');
    const clips = [...cast.heron.clips, ...cast.marionette.clips].map(({ name }) => `"${name}"`);
    expect(clips).toHaveLength(3);
    expect(comments).toContain(`Clips that only some rigs have (3): ${clips.join(', ')}.`);
    expect(comments).toContain('"most": 48, // marionette.glb');
    const { contract } = asJavaScript(text) as { contract: { joints: { required: string[] } } };
    expect(contract.joints.required).toEqual(
      expect.arrayContaining(['thigh_L', 'shin_L', 'foot_L']),
    );
    expect(contract.joints.required).not.toContain('beak_tip');
    expect(comments).toContain('the right frame is the mirrored left frame with its third axis');
    expect(comments).toMatch(
      /Sizes of the rigs: 1\.75 \(heron\.glb\) to 2(\.\d+)? \(marionette\.glb\)/,
    );
  });

  // Each pair of axes once, with the schemes in turn.
  const some = aimedConventions.filter((_, at) => at % 4 === Math.floor(at / 4) % 4);
  it.each(some.map((convention) => [tell(convention), convention] as const))(
    'in %s: has these axes and this scheme',
    async (_, convention) => {
      const { text, disagreements } = await likeOf(
        filesOf({ heron: build('heron', { convention }) }),
      );
      const { conventions } = asJavaScript(text) as { conventions: Record<string, string> };
      expect(conventions).toMatchObject({
        mirror: SCHEMES[convention.mirror],
        aim: convention.aim,
        up: convention.up,
      });

      expect(disagreements).toEqual([]);
    },
  );
});

describe('rigs that differ', () => {
  const [x = worldAligned, y = worldAligned] = [aimedConventions[0], aimedConventions[7]];
  const files = filesOf({
    'heron.glb': build('heron', { convention: x }),
    'mule.glb': build('mule', { convention: y, sideNaming: 'word', unitScale: 100 }),
    'caterpillar.glb': build('caterpillar', { convention: x, unitScale: 100 }),
  });
  const made = likeOf(files);

  it('are asked for nothing that only some have, and all are sound', async () => {
    const like = await made;
    expect(asJavaScript(like.text)).toMatchObject({ conventions: { unit: 'm' } });
    expect(wantedIn(like.text)).toMatchObject({ aim: null, up: null });
    expect(new Set(Object.values(await verdicts(like, files)))).toEqual(new Set(['sound']));
  });

  it('are told, each difference with the rigs', async () => {
    const { disagreements, text } = await made;
    expect(disagreements).toEqual([
      'the rigs differ in the aim axis: +X in heron.glb, caterpillar.glb; +Y in mule.glb',
      expect.stringMatching(/^the rigs differ in the up axis: \+Y in .*; \+Z in mule\.glb$/),
      expect.stringMatching(
        /^the rigs differ in how right frames mirror left ones: all reversed in /,
      ),
      expect.stringMatching(
        /^the rigs differ in how names tell sides: \d+ of \d+ joints .* such as "thigh_left"/,
      ),
      expect.stringMatching(
        /^the rigs may differ in their unit: sizes lie far apart, 1\.\d+ \(heron\.glb\) to /,
      ),
    ]);
    for (const what of ['aim', 'up', 'names']) expect(text).toContain(`// "${what}" is left out`);
  });

  it('frames that are world-aligned have no axis to ask for', async () => {
    const aligned = filesOf({ 'mule.glb': build('mule', { convention: worldAligned }) });
    const like = await likeOf(aligned);
    expect(wantedIn(like.text)).toMatchObject({ aim: null, up: null });
    expect(like.text.replace(/\n *\/\/ {2,}/g, ' ')).toContain(
      '"aim" is left out: all frames are world-aligned',
    );
    expect(await verdicts(like, aligned)).toEqual({ 'mule.glb': 'sound' });
  });
});

describe('an axis that all rigs show, and that would make one unsound', () => {
  it('is not asked for where it is up: only a tail has it turned, which no rule minds by itself', async () => {
    const puppet = raisePuppet('heron');
    for (const joint of ['tail_root', 'tail_mid', 'tail_tip']) puppet.turnFrame(joint, 'aim', 180);
    const files = filesOf({ 'heron.glb': buildPuppet(puppet) });
    const like = await likeOf(files);
    expect(wantedIn(like.text)).toMatchObject({ aim: { index: 1, sign: 1 }, up: null });
    expect([like.limits, like.levels, like.disagreements]).toEqual([
      [],
      [],
      [
        'the standard does not ask for "up": all rigs that show one have +Z, but heron.glb would be unsound if it was asked for',
      ],
    ]);
    expect(await verdicts(like, files)).toEqual({ 'heron.glb': 'sound' });
  });

  it('is not asked for where it is the aim: a lamp post of three joints shows none', async () => {
    const points = [0, 1, 2].map((at): [number, number, number] => [0, at / 4, 0]);
    const turns = [40, -40, 40].map((degrees) => turnAbout([0, 0, 1], degrees));
    const post = tinyGlb(chainJoints(points, turns), tubeSkin(points, 0.05, [0, 0, 1]));
    const files = { ...filesOf({ 'heron.glb': build('heron') }), 'post.glb': post };
    const like = await likeOf(files);
    expect(wantedIn(like.text)).toMatchObject({ aim: null, up: null });
    expect([like.limits, like.levels]).toEqual([[], []]);
    expect(like.disagreements.slice(0, 2)).toEqual([
      'the standard does not ask for "aim": all rigs that show one have +Y, but post.glb would be unsound if it was asked for',
      'the standard does not ask for "up": all rigs that show one have +Z, but post.glb would be unsound if it was asked for',
    ]);
  });
});

const faulty = faults.filter(
  ({ expectLevel, standard }) => expectLevel === 'error' && standard === undefined,
);
const builtWith = (fault: (typeof faults)[number], amount = fault.failing) =>
  build(fault.puppet, {
    faults: [{ fault, amount }],
    ...(fault.weights && { weights: fault.weights }),
  });

/** Faults of rules that have no limit, or that no number of joints makes another rig of. */
const NEED_A_LEVEL = [
  'axis.uniform of backward-loin',
  'axis.uniform of rings-on-another-axis',
  'chain.parent of legs-hung-flat',
  'chain.parent of shins-beside-the-thighs',
  'chain.parent of thighs-on-the-carrier',
  'root.single of scattered-legs',
  'scale.negative of mirrored-toe',
];

describe('a standard made from faulty rigs', () => {
  const levels: string[] = [];

  it.each(faulty)('$name: is one that it is sound under, and grants no more', async (fault) => {
    const files = filesOf({ 'puppet.glb': builtWith(fault) });
    const like = await likeOf(files);
    expect(await verdicts(like, files)).toEqual({ 'puppet.glb': 'sound' });
    levels.push(...like.levels.map((rule) => `${rule} of ${fault.name}`));
    // What names another axis or pose as the house's own needs nothing granted.
    const { wanted } = parseStandard(like.text, 'like.json', rules).settings;
    const isOwn = wanted.rest === 'posed' || fault.standardNames === 'up';
    const granted = [...like.limits, ...like.levels];
    expect(granted).toEqual(isOwn ? [] : expect.arrayContaining([fault.rule]));
    const others = granted.filter((rule) => rule !== fault.rule);
    expect(others.filter((rule) => !HIDDEN_BY[fault.rule]?.includes(rule))).toEqual([]);
  });

  it('lowers a level only where no limit helps', () => {
    expect(levels).toEqual(NEED_A_LEVEL);
  });

  it('all of them at once: each is sound under it', async () => {
    const files = filesOf(
      Object.fromEntries(faulty.map((fault) => [`${fault.name}.glb`, builtWith(fault)])),
    );
    const like = await likeOf(files);
    const found = await verdicts(like, files);
    expect(Object.keys(found).filter((name) => found[name] !== 'sound')).toEqual([]);
    expect(like.disagreements.join('\n')).toMatch(/the pose that they are stored in: \d+ of \d+/);
  });

  it('delivered in another pose by all are asked for that, with nothing granted', async () => {
    const torn = { 'torn.glb': builtWith(faultNamed('torn-forearm')) };
    const alone = await likeOf(filesOf(torn));
    expect([alone.limits, alone.levels, wantedIn(alone.text).rest]).toEqual([[], [], 'posed']);
    const files = filesOf({ ...torn, 'heron.glb': build('heron') });
    const both = await likeOf(files);
    expect([both.limits, wantedIn(both.text).rest]).toEqual([['rest.bind'], undefined]);
    expect(both.disagreements).toContain(
      'the rigs differ in the pose that they are stored in: 1 of 2 are not in their bind pose: torn.glb',
    );
    expect(new Set(Object.values(await verdicts(both, files)))).toEqual(new Set(['sound']));
  });

  it('a joint that has grown since it was bound is a fault, not a pose', async () => {
    const like = await likeOf(filesOf({ 'mule.glb': builtWith(faultNamed('grown-since-bound')) }));
    expect([like.limits, wantedIn(like.text).rest]).toEqual([['rest.bind'], undefined]);
  });

  it('that still have findings tell which, and how many rigs have them', async () => {
    const { text } = await likeOf(filesOf({ 'heron.glb': builtWith(faultNamed('idle-hooks')) }));
    expect(text).toContain('since it makes none unsound: skin.idle (1 rig).');
  });

  it('still finds the same fault when it is worse', async () => {
    for (const name of ['crooked-neck', 'rolled-shin', 'stretched-beak-tip', 'weights-far-short']) {
      const fault = faultNamed(name);
      const like = await likeOf(filesOf({ 'puppet.glb': builtWith(fault) }));
      const worse = filesOf({ 'worse.glb': builtWith(fault, fault.failing * 1.2) });
      expect([name, await verdicts(like, worse)]).toEqual([name, { 'worse.glb': 'unsound' }]);
    }
  });

  it('tells beside each limit what was measured, where, and the default', async () => {
    const { text } = await likeOf(filesOf({ 'puppet.glb': builtWith(faultNamed('crooked-neck')) }));
    expect(text).toContain(
      '// error: 25 degrees in puppet.glb, default 15.\n    "axis.aim": { "error": "26 degrees" },',
    );
  });
});

/** Rules whose findings a fault of another rule hides until it is granted. */
const HIDDEN_BY: Readonly<Record<string, readonly string[]>> = {
  'scale.shear': ['scale.nonuniform'],
};

it('more influences than is usual are in the budget, though they are no error', async () => {
  const files = filesOf({ 'heron.glb': builtWith(faultNamed('crowded-neck')) });
  expect(asJavaScript((await likeOf(files)).text)).toMatchObject({
    contract: { joints: { influences: 5 } },
    limits: {},
  });
});

describe('what cannot be read, or holds no rig', () => {
  const heron = filesOf({ 'heron.glb': build('heron') });
  const broken = { 'cut.glb': new Uint8Array(99) };
  const statue = filesOf({ 'statue.glb': builtWith(faultNamed('statue')) });

  it('is left out, and named', async () => {
    const all = approved({ ...broken, ...heron, ...statue });
    const { like, unreadable, empty } = await standardLike(all, rules);
    expect([like?.rigs, unreadable.map(({ path }) => path), empty]).toEqual([
      1,
      ['cut.glb'],
      ['statue.glb'],
    ]);
  });

  it('gives no standard where there is nothing else', async () => {
    const { like } = await standardLike(approved({ ...broken, ...statue }), rules);
    expect(like).toBeNull();
  });

  it('a second time stops the run, with the name', async () => {
    let reads = 0;
    const [good] = approved(heron);
    const [bad] = approved(broken);
    if (good === undefined || bad === undefined) throw new Error('two files');
    const changing = {
      name: 'heron.glb',
      read: (...given: Parameters<typeof good.read>) => (reads++ === 0 ? good : bad).read(...given),
    };
    await expect(standardLike([changing], rules)).rejects.toThrow(
      /^heron\.glb was read once, but cannot be read again: /,
    );
  });
});

it('names of files, joints and clips cannot end a comment or become a setting', async () => {
  const evil = '*/\n"failing": "never",\u2028"rest": "posed"\r});throw 1;({//';
  const points = [0, 1, 2, 3].map((at): [number, number, number] => [0, at / 4, 0]);
  const bytes = tinyGlb(
    chainJoints(points).map((joint, at) => ({ ...joint, name: `${evil}${at}_L` })),
    tubeSkin(points, 0.05, [0, 0, 1]),
  );
  const { text } = await likeOf({ [`${evil}.glb`]: bytes });
  const value = asJavaScript(text);
  expect(value).toMatchObject({ failing: 'error', rest: 'bind' });
  expect(parseStandard(text, 'like.json', rules).settings.failing).toBe('error');
  expect(text).toContain('\\u000a');
});

it('several rigs of one file are told apart by their names', async () => {
  const points = [0, 1, 2].map((at): [number, number, number] => [0, at / 4, 0]);
  const [heron, mule] = [chainJoints(points), chainJoints(points)];
  const below = mule.map((joint) => ({
    ...joint,
    parent: joint.parent < 0 ? -1 : joint.parent + 3,
  }));
  const bytes = tinyGlb([...heron, ...below], null, (json) => {
    json.skins = [
      { name: 'heron', joints: [0, 1, 2] },
      { name: 'mule', joints: [3, 4, 5] },
    ];
  });
  const like = await likeOf({ 'troupe.glb': bytes });
  expect(like.rigs).toBe(2);
  expect(like.text.replace(/\n *\/\/ {2,}/g, ' ')).toContain(
    'read off 2 rigs: troupe.glb "rod 1", troupe.glb "rod 1[2]".',
  );
});

describe('how frames mirror', () => {
  const byUp = { convention: { aim: '+Y', up: '+Z', mirror: 'negate-up' } } as const;

  it('is asked for by the comment that says what it means', async () => {
    const { text } = await likeOf(filesOf({ 'mule.glb': build('mule', byUp) }));
    expect(text).toContain(
      '// Of a pair, the right frame is the mirrored left frame with its up axis reversed.\n    "mirror": "up reversed",',
    );
  });

  it('is left out where rigs differ, with the rigs, and where none has pairs', async () => {
    const both = await likeOf(
      filesOf({ 'heron.glb': build('heron'), 'mule.glb': build('mule', byUp) }),
    );
    expect(wantedIn(both.text).mirror).toBeUndefined();
    const said = 'side reversed in heron.glb; up reversed in mule.glb';
    expect(both.text.replace(/\n *\/\/ {2,}/g, ' ')).toContain(
      `"mirror" is left out: the rigs have no scheme in common, ${said}.`,
    );
    expect(both.disagreements).toContain(
      `the rigs differ in how right frames mirror left ones: ${said}`,
    );
  });
});
