import { describe, expect, it } from 'vitest';
import { assetPattern } from '../../src/house/asset-pattern.js';
import type { FaultPlaceReport, FindingReport } from '../../src/report/report-types.js';
import { acceptance, acceptanceOfAny } from '../../src/waivers/accept.js';
import { beyondWords } from '../../src/waivers/beyond-words.js';
import { judgeFinding } from '../../src/waivers/judge-finding.js';
import type { Waiver, WaiverText } from '../../src/waivers/ledger.js';
import { type Subject, subjectsOf } from '../../src/waivers/subjects.js';
import { sampleFinding, sampleRig } from '../report/sample-report.js';

const TODAY = '2031-05-01';

type Change = Parameters<typeof sampleFinding>[0] & {
  /** Joints by their path, each with how bad it is. */
  readonly at?: Readonly<Record<string, number | null>>;
};

function subjects(changes: readonly Change[], vertices = 220): Subject[] {
  const findings = changes.map(({ at, ...change }): FindingReport => {
    const finding = sampleFinding(change);
    if (at === undefined) return finding;
    const places = Object.entries(at).map(([path, measured]): FaultPlaceReport => {
      return { ...finding.place, name: path, path, ...(measured !== null && { measured }) };
    });
    return { ...finding, place: places[0] ?? finding.place, places };
  });
  return subjectsOf({ findings, rigs: [{ ...sampleRig(), vertices }] });
}

const subject = (change: Change, vertices?: number): Subject => {
  const [first] = subjects([change], vertices);
  if (first === undefined) throw new Error('no finding');
  return first;
};

/** Waivers as they are written for findings, the first on line 2. */
function waivers(accepted: readonly Subject[], change: Partial<WaiverText> = {}): Waiver[] {
  return accepted.map((item, at) => ({
    asset: 'heron.glb',
    why: 'a crank',
    by: 'prop room',
    until: null,
    ...acceptance(item),
    ...change,
    line: at + 2,
    pattern: assetPattern('heron.glb', '/theatre'),
  }));
}

/** What is said of a finding when others were accepted; nothing where it stands. */
function told(now: Subject, ledger: readonly Waiver[]): string[] {
  const judgement = judgeFinding(now, ledger, TODAY);
  expect(judgement.by === null).toBe(
    beyondWords(judgement, now).length > 0 || judgement.about.length === 0,
  );
  return beyondWords(judgement, now);
}

const stands = (now: Subject, ledger: readonly Waiver[]): boolean =>
  judgeFinding(now, ledger, TODAY).by !== null;

const SCALE = { rule: 'scale.unit', unit: '%', limit: 0.1, level: 'warning' } as const;

describe('how bad it is', () => {
  const scaled = (percent: number): Subject => subject({ ...SCALE, measured: percent });

  it('may grow by a hundredth of the limit at a place far under it', () => {
    const neck = (percent: number): Subject =>
      subject({ ...SCALE, measured: 0.2, at: { body: 0.2, neck: percent } });
    const ledger = waivers([neck(7.58e-6)]);
    expect(told(neck(1.04e-5), ledger)).toEqual([]);
    expect(told(neck(9e-4), ledger)).toEqual([]);
    expect(told(neck(1.1e-3), ledger)).toHaveLength(1);
  });

  it('may be a tenth worse, and no more', () => {
    const ledger = waivers([scaled(0.2)]);
    expect(told(scaled(0.2199), ledger)).toEqual([]);
    expect(told(scaled(0.2201), ledger)).toEqual([
      'The waiver at line 2 accepts up to 0.2 %, and it is 0.22 % now.',
    ]);
    expect(told(scaled(200), ledger)).toEqual([
      'The waiver at line 2 accepts up to 0.2 %, and it is 200 % now.',
    ]);
    expect(stands(scaled(0.15), ledger)).toBe(true);
  });

  it('is held to the least where smaller is worse, and nothing at all stays nothing', () => {
    const bent = (measured: number): Subject =>
      subject({ rule: 'chain.hinge', unit: 'degrees', limit: 1, measured });
    expect(stands(bent(0.5), waivers([bent(0.59)]))).toBe(true);
    expect(told(bent(0.4), waivers([bent(0.59)]))).toEqual([
      'The waiver at line 2 accepts no less than 0.59°, and it is 0.4° now.',
    ]);
    expect(stands(bent(0), waivers([bent(6.3e-7)]))).toBe(true);
    expect(stands(bent(-1e-9), waivers([bent(0)]))).toBe(true);
  });

  it('in other units is another fault', () => {
    const moved = subject({ rule: 'rest.holder', unit: '% of size', measured: 20, limit: 0.01 });
    const turned = subject({ rule: 'rest.holder', unit: 'degrees', measured: 20, limit: 0.1 });
    expect(told(turned, waivers([moved]))[0]).toContain(
      'accepts what was measured in % of size, and it is measured in degrees now',
    );
  });

  it('is held to each unit that it is measured in, and less of one is no other fault', () => {
    const holder = { rule: 'rest.holder', unit: '% of size', limit: 0.01, measured: 20 };
    const moved = subject(holder);
    const both = (degrees: number): Subject =>
      subject({ ...holder, also: [{ measured: degrees, unit: 'degrees' }] });
    expect(told(both(90), waivers([moved]))).toEqual([
      'The waiver at line 2 accepts nothing in degrees, and it is also 90° now.',
    ]);
    expect(told(both(90), waivers([both(20)]))).toEqual([
      'The waiver at line 2 accepts up to 20°, and it is also 90° now.',
    ]);
    expect(stands(both(21), waivers([both(20)]))).toBe(true);
    const turned = (measured: number): Subject =>
      subject({ ...holder, unit: 'degrees', limit: 0.1, measured });
    expect(stands(turned(21), waivers([both(20)]))).toBe(true);
    expect(stands(turned(30), waivers([both(20)]))).toBe(false);
  });

  it('of a count is exact', () => {
    const joints = (measured: number): Subject =>
      subject({ rule: 'skin.budget', unit: 'joints', limit: 4, measured });
    expect(stands(joints(20), waivers([joints(20)]))).toBe(true);
    expect(stands(joints(21), waivers([joints(20)]))).toBe(false);
  });

  it('of vertices may grow with the mesh, but not both in number and share', () => {
    const loose = (measured: number, of: number): Subject =>
      subject({ rule: 'skin.unweighted', unit: 'vertices', limit: 0, measured }, of);
    const ledger = waivers([loose(10, 200)]);
    expect(stands(loose(60, 1200), ledger)).toBe(true);
    expect(stands(loose(10, 100), ledger)).toBe(true);
    expect(told(loose(60, 200), ledger)).toContain(
      'The waiver at line 2 accepts 10 of 200 vertices, and it is 60 of 200 now.',
    );
  });
});

it('a more serious level fails', () => {
  const [mild, grave] = [subject({ level: 'warning' }), subject({ level: 'error' })];
  expect(told(grave, waivers([mild]))).toEqual([
    'The waiver at line 2 accepts a warning, and it is an error now.',
  ]);
  expect(stands(mild, waivers([grave]))).toBe(true);
});

it('what other rules find there too fails, but for those that were accepted with it', () => {
  const alone = subject({});
  const both = subject({ insteadOf: ['axis.aim'] });
  expect(told(both, waivers([alone]))).toEqual([
    'The waiver at line 2 accepts nothing of axis.aim, and this finding now includes that, too.',
  ]);
  expect(stands(alone, waivers([both]))).toBe(true);
});

describe('places', () => {
  const NAMES = { rule: 'name.default', unit: 'joints', limit: 0 } as const;
  const named = (...paths: string[]): Subject =>
    subject({
      ...NAMES,
      measured: paths.length,
      at: Object.fromEntries(paths.map((path) => [path, paths.length === 1 ? 1 : null])),
    });

  it('that no waiver lists fail, in the same finding too', () => {
    expect(told(named('body', 'neck'), waivers([named('body')]))).toEqual([
      'The waiver at line 2 does not list "neck".',
    ]);
    expect(told(named('body', 'neck', 'tail'), waivers([named('body')]))).toEqual([
      'The waiver at line 2 does not list "neck" and 1 more place.',
    ]);
    expect(stands(named('body'), waivers([named('body', 'neck')]))).toBe(true);
  });

  it('accepted apart may be told as one, and the other way round', () => {
    const [left, right, both] = [
      subject({ at: { 'body/shin_L': 40 }, measured: 40 }),
      subject({ at: { 'body/shin_R': 50 }, measured: 50 }),
      subject({ at: { 'body/shin_L': 40, 'body/shin_R': 50 }, measured: 50 }),
    ] as const;
    expect(stands(both, waivers([left, right]))).toBe(true);
    expect(stands(left, waivers([both]))).toBe(true);
    expect(stands(named('body', 'neck'), waivers([named('body'), named('neck')]))).toBe(true);
    const worse = subject({ at: { 'body/shin_L': 49, 'body/shin_R': 50 }, measured: 50 });
    expect(told(worse, waivers([left, right]))).toEqual([
      'The waiver at line 2 accepts up to 40° at "body/shin_L", and it is 49° there now.',
    ]);
  });

  it('of several kinds and one path are told apart', () => {
    const mesh = subject({ place: { kind: 'mesh', path: 'cloak', name: 'cloak' } });
    const joint = subject({ place: { kind: 'joint', path: 'cloak', name: 'cloak' } });
    const odd = subject({ place: { kind: 'joint', path: 'mesh:cloak', name: 'mesh:cloak' } });
    for (const now of [joint, odd])
      expect(judgeFinding(now, waivers([mesh]), TODAY).about).toEqual([]);
    expect(stands(mesh, waivers([mesh]))).toBe(true);
    expect(stands(odd, waivers([odd]))).toBe(true);
  });

  it('that share a path and a kind count: one more of them fails, and so does the worst of them', () => {
    const cloak = (measured: number): Change => ({ at: { cloak: measured }, measured });
    const ledger = waivers(subjects([cloak(40), cloak(60)]));
    for (const now of subjects([cloak(60), cloak(41)])) expect(stands(now, ledger)).toBe(true);
    const [, , third] = subjects([cloak(60), cloak(40), cloak(35)]);
    expect(third && judgeFinding(third, ledger, TODAY).by).toBeNull();
    const [worse] = subjects([cloak(60), cloak(59)]).filter((_, at) => at === 1);
    expect(worse && stands(worse, ledger)).toBe(false);
  });

  it('too many to be listed are accepted as a number', () => {
    const many = (count: number): Subject =>
      subject({
        ...NAMES,
        anchor: { kind: 'rig', path: 'body' },
        measured: count,
        counts: { looked: 5000, short: count },
        at: Object.fromEntries(
          Array.from({ length: Math.min(count, 1000) }, (_, at) => [`j${at}`, null]),
        ),
      });
    const ledger = waivers([many(1500)]);
    expect([...(ledger[0]?.accepted?.places ?? [])]).toEqual([['rig:body', 1500]]);
    for (const count of [1500, 1200, 900, 2]) expect(stands(many(count), ledger)).toBe(true);
    expect(told(many(1501), ledger)[0]).toContain('accepts 1500 places, and there are 1501 now');
    expect(stands(many(1500), waivers([many(900)]))).toBe(false);
  });
});

describe('a waiver', () => {
  const [beak, tail] = subjects([
    { at: { beak: 40 }, measured: 40 },
    { at: { tail: 50 }, measured: 50 },
  ]);

  it('of a pattern holds the worst of what it covered, at any place', () => {
    if (beak === undefined || tail === undefined) throw new Error('no findings');
    const [one] = acceptanceOfAny([beak, tail], null);
    const [base] = waivers([beak]);
    if (base === undefined || one === undefined) throw new Error('no waiver');
    const ledger = [{ ...base, ...one }];
    expect(stands(subject({ at: { neck: 54 }, measured: 54 }), ledger)).toBe(true);
    expect(told(subject({ at: { neck: 56 }, measured: 56 }), ledger)).toEqual([
      'The waiver at line 2 accepts up to 50°, and it is 56° now.',
    ]);
    const more = [{ ...base, ...one, joint: 'tail' }];
    expect(stands(subject({ at: { tail: 54 }, measured: 54 }), more)).toBe(true);
    expect(judgeFinding(beak, more, TODAY).about).toEqual([]);
  });

  it('for one rig or one aspect is about no other', () => {
    const now = subject({ aspect: 'styles' });
    expect(stands(now, waivers([now], { rig: 'heron' }))).toBe(true);
    expect(judgeFinding(now, waivers([now], { rig: 'mule' }), TODAY).about).toEqual([]);
    expect(judgeFinding(now, waivers([now], { aspect: 'hung' }), TODAY).about).toEqual([]);
  });

  it('that says nothing of what it accepted lets all stand that it is about', () => {
    const now = subject({ measured: 180 });
    const [written] = waivers([now]);
    if (written === undefined) throw new Error('no waiver');
    const { accepted: _, ...open } = written;
    expect(stands(now, [{ ...open, joint: 'body/neck/beak' }])).toBe(true);
    expect(stands(now, [{ ...open, joint: 'body/neck' }])).toBe(false);
  });

  it('beside others never takes away what they cover', () => {
    const both = subject({ at: { beak: 40, tail: 50 }, measured: 50 });
    const small = subject({ at: { beak: 1 }, measured: 1 });
    const [one] = acceptanceOfAny([small], null);
    const [base] = waivers([both]);
    if (base === undefined || one === undefined) throw new Error('no waiver');
    expect(stands(both, [base, { ...base, ...one, line: 3 }])).toBe(true);
  });
});
