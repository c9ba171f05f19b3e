import { expect, it } from 'vitest';
import type { ExpiredWaiver, LedgerEntry, LedgerReport } from '../../src/report/ledger-report.js';
import { joinLedgers } from '../../src/waivers/join-ledgers.js';

function entry(line: number): LedgerEntry {
  return {
    line,
    rule: 'axis.up',
    asset: '*.glb',
    joint: null,
    others: 0,
    why: 'a crank',
    by: 'props',
    until: null,
  };
}

function part(change: Partial<LedgerReport> = {}): LedgerReport {
  const nothing = { waived: 0, exceeded: 0, expired: [], unmatched: [], open: [], fitting: [] };
  return { path: 'house.json', today: '2031-05-01', waivers: 3, ...nothing, ...change };
}

it('a waiver that one part needs is not idle, though another has no use for it', () => {
  const joined = joinLedgers([
    part({
      ...{ waived: 1, exceeded: 2, fitting: [2], unmatched: [entry(3), entry(4)] },
      open: [entry(2)],
    }),
    part({ ...{ waived: 2, exceeded: 1, fitting: [4], unmatched: [entry(3)] }, open: [entry(2)] }),
  ]);
  expect(joined).toEqual(
    part({
      ...{ waived: 3, exceeded: 3, fitting: [2, 4], unmatched: [entry(3)] },
      // Told by both, and one waiver all the same.
      open: [entry(2)],
    }),
  );
});

it('what expired waivers would waive is added up; null where no part judged an asset of theirs', () => {
  const expired = (findings: number | null, line = 2): ExpiredWaiver => ({
    ...entry(line),
    findings,
  });
  const joined = joinLedgers([
    part({ expired: [expired(null), expired(null, 3)] }),
    part({ expired: [expired(2), expired(null, 3)] }),
    part({ expired: [expired(1), expired(null, 3)] }),
  ]);
  expect(joined?.expired).toEqual([expired(3), expired(null, 3)]);
});

it('no ledger at all is none, and different ones are refused', () => {
  expect(joinLedgers([null, null])).toBeNull();
  for (const other of [
    null,
    part({ today: '2031-05-02' }),
    part({ path: 'other.json' }),
    part({ waivers: 4 }),
  ])
    expect(() => joinLedgers([part(), other])).toThrow('different ledgers');
});
