// Sources: the OASIS SARIF 2.1.0 errata schema (draft-04) from npm `@microsoft/jest-sarif`, file
// `lib/schemas/sarif-2.1.0-rtm.5.json`, with the standard's text (3.27.23, 3.35) for what it does
// not see; and for our own JSON the schema that `trysquare schema report` prints. What is waived
// here are findings of real checks, whose files are then checked again.
import { createRequire } from 'node:module';
import { Ajv } from 'ajv';
import AjvDraft04 from 'ajv-draft-04';
import addFormats from 'ajv-formats';
import type { Log } from 'sarif';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings, rulesToRun } from '../../src/check/settings.js';
import { verdictWithoutFault } from '../../src/check/verdict.js';
import type { Level } from '../../src/kit/finding.js';
import { writeJson } from '../../src/report/json.js';
import { reportSchema } from '../../src/report/report-schema.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { writeSarif } from '../../src/report/sarif.js';
import { findLedger, type Ledger } from '../../src/waivers/ledger.js';
import { readLedger } from '../../src/waivers/read-ledger.js';
import { textFaults } from '../report/sarif-text-faults.js';
import { applyLedger } from '../support/apply-ledger.js';
import { runWaiveIn, TODAY } from '../support/run-waive.js';
import { tempFolder } from '../support/temp-folder.js';

const ajv = new AjvDraft04.default({ allErrors: true, strict: false, unicodeRegExp: false });
addFormats.default(ajv);
const schema: object = createRequire(import.meta.url)(
  '@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json',
);
const validateSarif = ajv.compile(schema);
const validateReport = new Ajv({ allErrors: true, strict: false }).compile(reportSchema);

const settings = defaultSettings(rules);
const ran = rulesToRun(settings).map((rule) => rule.id);

/** A legacy library: every fault of the cast, under names that a pattern would take amiss. */
const library = faults.map((fault, at) => ({
  path: `act [${at % 3}]/${fault.name} {${at}}.glb`,
  bytes: buildGlb(fault.puppet, { faults: [fault] }),
}));
const check = (): Promise<AssetReport[]> =>
  Promise.all(library.map(({ path, bytes }) => checkAssetBytes(bytes, { settings, name: path })));
const before = await check();

/** The folder of the library once everything from a level up was waived. */
async function adopted(level: Level): Promise<{ cwd: string; ledger: Ledger }> {
  const cwd = tempFolder();
  await runWaiveIn(cwd, '-', { all: true, level }, writeJson(makeReport(before, settings)));
  return { cwd, ledger: readLedger(findLedger(cwd) ?? '', 'the ledger', rules) };
}

/** What a check of these assets comes to by the ledger. */
async function checkedAgain(
  level: Level,
  assets: readonly AssetReport[],
): Promise<{ report: Report; idle: number }> {
  const { cwd, ledger } = await adopted(level);
  const options = { today: TODAY, base: cwd, failing: level, ran };
  const applied = applyLedger(assets, ledger, options);
  return {
    report: makeReport(applied.assets, { ...settings, failing: level }),
    idle: applied.ledger.expired.length + applied.ledger.unmatched.length,
  };
}

describe('a legacy library whose findings were all waived', () => {
  it('is sound when it is checked again, and keeps every finding', async () => {
    const { report, idle } = await checkedAgain('note', await check());
    expect(before.filter((asset) => asset.findings.length > 0).length).toBeGreaterThan(30);
    expect(report.assets.map((asset) => asset.verdict)).toEqual(before.map(verdictWithoutFault));
    expect(report.assets.map((asset) => asset.findings.length)).toEqual(
      before.map((asset) => asset.findings.length),
    );
    expect(idle).toBe(0);
  }, 30_000);

  it('down to warnings still counts its notes', async () => {
    const { report } = await checkedAgain('warning', before);
    expect(report.assets.map((asset) => asset.counts)).toEqual(
      before.map((asset) => ({ error: 0, warning: 0, note: asset.counts.note })),
    );
  });

  it('gives valid SARIF with an accepted suppression for each finding, and JSON of its own schema', async () => {
    const { report: after } = await checkedAgain('note', before);
    for (const target of ['standard', 'code-scanning'] as const) {
      const log = JSON.parse(
        writeSarif(after, rules, { target, base: '/theatre', textOf: () => null }),
      ) as Log; // The schema below holds the text to this type.
      validateSarif(log);
      expect(validateSarif.errors ?? []).toEqual([]);
      const [run] = log.runs;
      expect(run === undefined ? ['no run'] : textFaults(run, target)).toEqual([]);
      const faulty = (run?.results ?? []).filter((result) => result.kind === undefined);
      const all = after.assets.reduce((sum, asset) => sum + asset.findings.length, 0);
      expect(faulty).toHaveLength(target === 'standard' ? all : 0);
      for (const { suppressions } of faulty)
        expect(suppressions).toEqual([
          { kind: 'external', status: 'accepted', justification: 'a crank (prop room)' },
        ]);
    }
    validateReport(JSON.parse(writeJson(after)));
    expect(validateReport.errors ?? []).toEqual([]);
  });

  it('fails for the same faults at other joints', async () => {
    const moved = before.map((asset): AssetReport => {
      const findings = asset.findings.map((finding) => {
        const places = finding.places.map((place) => ({ ...place, path: `${place.path}/new` }));
        return {
          ...finding,
          place: { ...finding.place, path: `${finding.place.path}/new` },
          places: finding.place.kind === 'asset' ? finding.places : places,
        };
      });
      return { ...asset, findings };
    });
    const { report } = await checkedAgain('error', moved);
    // What is about a whole asset has no joint to be new at.
    const expected = before.map((asset) =>
      asset.findings.some(({ level, place }) => level === 'error' && place.kind !== 'asset')
        ? 'unsound'
        : verdictWithoutFault(asset),
    );
    expect(report.assets.map((asset) => asset.verdict)).toEqual(expected);
    expect(expected).toContain('unsound');
  });
});
