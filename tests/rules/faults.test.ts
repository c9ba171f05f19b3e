import { describe, expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { allFaults } from '../../fixtures/faults/index.js';
import type { Fault } from '../../fixtures/kit/fault.js';
import type { FleshKind } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import type { Settings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { checkFault, told } from '../support/check-built.js';

/**
 * A rule about the standard's up axis needs a standard that names one: the kit's default +Z. One about a
 * house's contract needs the contract, and a costly rule has to be asked for.
 */
function settingsFor(fault: Fault): Partial<Settings> {
  if (rules.find((rule) => rule.id === fault.rule)?.onRequest === true) return { motion: true };
  if (fault.standard !== undefined)
    return parseStandard(JSON.stringify(fault.standard), 'house.json', rules).settings;
  return fault.standardNames === 'up' ? { wanted: { aim: null, up: { index: 2, sign: 1 } } } : {};
}

interface Case {
  readonly name: string;
  readonly tells: string;
  readonly flesh: FleshKind;
  readonly fault: Fault;
}

/** Families whose measures look at the flesh: their faults are done to both kinds of it. */
const FLESH_FAMILIES = ['axis.', 'chain.', 'root.', 'rest.', 'skin.'];

const cases = allFaults.flatMap((fault): Case[] => {
  const both =
    fault.tubesOnly === undefined && FLESH_FAMILIES.some((family) => fault.rule.startsWith(family));
  const kinds: readonly FleshKind[] = both ? ['tubes', 'connected'] : ['tubes'];
  return kinds.map((flesh) => ({
    name: flesh === 'tubes' ? fault.name : `${fault.name} on connected flesh`,
    tells: fault.tells,
    flesh,
    fault,
  }));
});

const options = ({ fault, flesh }: Case, amount: number) => ({
  flesh,
  faults: [{ fault, amount }],
  ...(fault.weights === undefined ? {} : { weights: fault.weights }),
});

function check(entry: Case, amount: number): Promise<AssetReport> {
  const { fault } = entry;
  const chosen = options(entry, amount);
  return checkFault(fault, build(fault.puppet, chosen), chosen, settingsFor(fault));
}

describe.each(cases)('$name ($tells)', (entry) => {
  const { fault } = entry;
  it(`is told by ${fault.rule} and by nothing that is not part of it`, async () => {
    const report = await check(entry, fault.failing);
    expect(report.unreadable).toBeNull();
    const lines = told(report);
    expect(lines).toContain(`${fault.expectLevel} ${fault.rule}`);
    // A grade is computed from these.
    for (const { rule, counts } of report.findings)
      expect([rule, counts !== null && counts.short >= 1 && counts.short <= counts.looked]).toEqual(
        [rule, true],
      );
    const others = lines.filter((line) => !line.endsWith(` ${fault.rule}`));
    const allowed = fault.alsoTrips ?? [];
    expect(others.filter((line) => !allowed.includes(line.split(' ')[1] ?? ''))).toEqual([]);
  });

  it('is gone once mended', async () => {
    const report = await check(entry, 0);
    // An asset that cannot be read has no findings either.
    expect([report.unreadable, told(report)]).toEqual([null, []]);
  });
});

const withInside = cases.filter(({ fault }) => fault.inside !== undefined);

it.each(withInside)('$name is not told just inside the limit', async (entry) => {
  const { fault } = entry;
  const report = await check(entry, fault.inside ?? 0);
  expect(report.unreadable).toBeNull();
  const allowed = fault.insideAlso ?? [];
  const lines = told(report);
  expect(lines.filter((line) => !allowed.includes(line.split(' ')[1] ?? ''))).toEqual([]);
});

it('every rule has a fault that trips it', () => {
  expect([...new Set(allFaults.map((fault) => fault.rule))].sort()).toEqual(
    rules.map((rule) => rule.id).sort(),
  );
});
