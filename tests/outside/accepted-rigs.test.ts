// Sources: glTF 2.0, 3.2 (assets refer to nodes, skins, accessors and the rest by index, so that their
// order means nothing) for the orders that an export may choose; the faults of the theatre's cast for
// what must not slip through. All that a rig has is accepted, by the command and in a ledger on disk;
// the rig is then stored in another order, or given one more fault, and checked again.
import { Logger, NodeIO } from '@gltf-transform/core';
import { unweld, weld } from '@gltf-transform/functions';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed, faults } from '../../fixtures/faults/index.js';
import type { AppliedFault, Fault } from '../../fixtures/kit/fault.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings, rulesToRun } from '../../src/check/settings.js';
import { writeJson } from '../../src/report/json.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { isAtFault } from '../../src/report/verdicts.js';
import { findLedger } from '../../src/waivers/ledger.js';
import { readLedger } from '../../src/waivers/read-ledger.js';
import { applyLedger } from '../support/apply-ledger.js';
import { asGlb, permuted, randomFrom, storedIn } from '../support/permuted.js';
import { runWaiveIn, TODAY } from '../support/run-waive.js';
import { tempFolder } from '../support/temp-folder.js';

const settings = { ...defaultSettings(rules), motion: true };
const ran = rulesToRun(settings).map((rule) => rule.id);

const checked = (name: string, bytes: Uint8Array, motion = true): Promise<AssetReport> =>
  checkAssetBytes(bytes, { settings: { ...settings, motion }, name });

/** Accepts all that reports tell, and gives what becomes of later reports. */
async function accepting(
  reports: readonly AssetReport[],
): Promise<(later: AssetReport) => AssetReport> {
  const cwd = tempFolder();
  const report = writeJson(makeReport(reports, settings));
  await runWaiveIn(cwd, '-', { all: true, level: 'note' }, report);
  const ledger = readLedger(findLedger(cwd) ?? '', 'the ledger', rules);
  const options = { today: TODAY, base: cwd, failing: 'note', ran } as const;
  return (later) => {
    const [asset] = applyLedger([later], ledger, options).assets;
    if (asset === undefined) throw new Error('one asset goes in and none comes out');
    return asset;
  };
}

const withFaults = (all: readonly (Fault | AppliedFault)[]): Uint8Array => {
  const [first] = all;
  if (first === undefined) throw new Error('no fault');
  return buildGlb('fault' in first ? first.fault.puppet : first.puppet, { faults: all });
};

/** Faults that the default rules find. */
const found = faults.filter(
  ({ name, standard }) => name !== 'lying-back' && standard === undefined,
);

const reports = new Map<Fault, Promise<AssetReport>>();

/** A puppet with one fault, checked without bends once for all tests. */
function checkedAlone(fault: Fault): Promise<AssetReport> {
  const known = reports.get(fault) ?? checked(`${fault.name}.glb`, withFaults([fault]), false);
  reports.set(fault, known);
  return known;
}

describe('a library whose findings are all accepted', () => {
  it('passes in every order that its files can be stored in', async () => {
    // Half of them: that identities do not depend on any order is shown of all elsewhere.
    const some = found.filter((_, at) => at % 2 === 0);
    const before = await Promise.all(some.map(checkedAlone));
    const later = await accepting(before);
    const failing: unknown[] = [];
    for (const [at, fault] of some.entries()) {
      const name = `${fault.name}.glb`;
      const shuffled = permuted(storedIn(withFaults([fault])), randomFrom(at + 1));
      const again = later(await checked(name, asGlb(shuffled), false));
      const left = again.findings.filter(({ waived }) => waived === undefined);
      if (isAtFault(again.verdict))
        failing.push([name, left.map(({ rule, beyond }) => [rule, beyond])]);
    }
    expect(before.filter(({ findings }) => findings.length > 0).length).toBeGreaterThan(40);
    expect(failing).toEqual([]);
  }, 60_000);
});

describe('a rig whose vertices are counted', () => {
  const counting = found.filter(({ rule }, at) => rule.startsWith('skin.') && at % 2 === 0);

  it('passes when an export splits or joins vertices', async () => {
    const io = new NodeIO();
    const failing: string[] = [];
    const split: number[] = [];
    for (const fault of counting) {
      const bytes = withFaults([fault]);
      const later = await accepting([await checked('a.glb', bytes, false)]);
      for (const change of [weld(), unweld()]) {
        const document = await io.readBinary(bytes);
        document.setLogger(new Logger(Logger.Verbosity.SILENT));
        await document.transform(change);
        const now = later(await checked('a.glb', await io.writeBinary(document), false));
        if (isAtFault(now.verdict)) failing.push(fault.name);
        split.push(now.rigs.reduce((sum, { vertices }) => sum + vertices, 0));
      }
    }
    expect(new Set(split).size).toBeGreaterThan(3);
    expect(counting.length).toBeGreaterThan(5);
    expect(failing).toEqual([]);
  }, 60_000);
});

/**
 * Pairs that pass, since with the first fault the second makes nothing worse: it is within a tenth of
 * what was accepted at the same place, it is the same change again or undoes a part of it, or there is
 * no skin left to see it by.
 */
const NO_WORSE = new Set([
  'arms-of-the-other-side + thumbs-of-the-other-side',
  'statue + scaled-holder',
  'statue + too-few-bind-matrices',
  'stored-in-a-wave + torn-forearm',
  // Of legs that are hung flat, the shins hang beside the thighs already.
  'legs-hung-flat + shins-beside-the-thighs',
  'moved-holder + moved-stage-of-four',
  'moved-stage-of-four + moved-holder',
  'stretched-beak-tip + slightly-stretched-beak-tip',
  'sheared-shin + slightly-sheared-shin',
  'blinking-head + squashed-head',
  'squashed-head + swelling-head',
  'blinking-head + swelling-head',
  'squashed-head + blinking-head',
  'weights-far-short + weights-a-little-short',
  'two-meshes-far-short + a-step-short',
  'weights-far-short + a-step-short',
  'two-meshes-far-short + weights-a-little-short',
]);

/** Each fault with the one after it among those of the same puppet, and the last with the first. */
const pairs = found.flatMap((first) => {
  const same = found.filter(({ puppet }) => puppet === first.puppet);
  const at = same.indexOf(first);
  const second = same[(at + 1) % same.length];
  return second === undefined || second === first ? [] : [{ first, second }];
});

/** Bends take longer than all else, and are tried where a fault is one of them. */
const areOfMotion = (...some: readonly Fault[]): boolean =>
  some.some(({ rule }) => rule.startsWith('motion.'));

describe('on top of a fault that is accepted', () => {
  it('every other fault of the same puppet fails', async () => {
    const passing: string[] = [];
    let tried = 0;
    const later = await accepting(
      await Promise.all(
        pairs.map(({ first, second }) =>
          areOfMotion(first, second)
            ? checked(`${first.name}.glb`, withFaults([first]))
            : checkedAlone(first),
        ),
      ),
    );
    for (const { first, second } of pairs) {
      const name = `${first.name} + ${second.name}`;
      let both: Uint8Array;
      try {
        both = withFaults([first, second]);
      } catch {
        // Some changes need what another took away.
        continue;
      }
      tried++;
      const now = later(await checked(`${first.name}.glb`, both, areOfMotion(first, second)));
      if (!isAtFault(now.verdict) && !NO_WORSE.has(name)) passing.push(name);
    }
    expect(tried).toBeGreaterThan(80);
    expect(passing).toEqual([]);
  }, 120_000);

  it.each([
    ['crooked-neck', 'rolled-neck', 'axis.up'],
    ['moved-holder', 'quarter-turn-holder', null],
  ])('%s does not hide %s', async (first, second, rule) => {
    const [one, other] = [faultNamed(first), faultNamed(second)];
    const later = await accepting([await checked('a.glb', withFaults([one]))]);
    const now = later(await checked('a.glb', withFaults([one, other])));
    expect(now.verdict).toBe('unsound');
    if (rule !== null)
      expect(now.findings.flatMap(({ beyond = [] }) => beyond)).toEqual([
        `The waiver at line 13 accepts nothing of ${rule}, and this finding now includes that, too.`,
      ]);
  });

  it('a holder that is moved and turned may not turn further', async () => {
    const moved = faultNamed('moved-holder');
    const turned = (amount: number): AppliedFault => {
      return { fault: faultNamed('quarter-turn-holder'), amount };
    };
    const later = await accepting([await checked('a.glb', withFaults([moved, turned(20)]))]);
    const now = async (amount: number): Promise<AssetReport> =>
      later(await checked('a.glb', withFaults([moved, turned(amount)])));
    expect((await now(21)).verdict).toBe('sound');
    const more = await now(40);
    expect(more.verdict).toBe('unsound');
    expect(more.findings.flatMap(({ beyond = [] }) => beyond)).toEqual([
      'The waiver at line 13 accepts up to 20°, and it is also 40° now.',
    ]);
  });

  it.each<[string, number, number]>([
    ['grown-trunk', 0.2, 200],
    ['crooked-neck', 16, 25],
    ['rolled-neck', 12, 25],
    ['turned-beak-tip', 25, 60],
  ])('more of %s fails, and the report says how much was accepted', async (name, little, much) => {
    const fault = faultNamed(name);
    const accepted = await checked('a.glb', withFaults([{ fault, amount: little }]));
    const later = await accepting([accepted]);
    const now = later(await checked('a.glb', withFaults([{ fault, amount: much }])));
    expect(now.verdict).toBe('unsound');
    const [told] = now.findings.flatMap(({ beyond = [] }) => beyond);
    expect(told).toMatch(/^The waiver at line 13 accepts up to .*, and it is .* now\.$/);
  });
});
