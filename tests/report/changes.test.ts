import { expect, it } from 'vitest';
import { changeCounts, changesBetween } from '../../src/report/changes.js';
import type { AssetReport, FindingReport } from '../../src/report/report-types.js';
import { movedWords } from '../../src/report/text-change.js';

function finding(identity: string, joints: readonly string[], waived = false): FindingReport {
  const [place, ...more] = joints.map((name) => ({
    kind: 'joint',
    name,
    path: name,
    pointer: name,
  }));
  // As much of a finding as a comparison looks at.
  return {
    ...{ identity, rule: identity, place, places: [place, ...more] },
    ...(waived && { waived: { by: 'props', why: 'a crank', until: null } }),
  } as unknown as FindingReport;
}

const asset = (...findings: FindingReport[]) => ({ findings }) as unknown as AssetReport;

it('tells what is mended, what is new and what is at other places than before', () => {
  const before = asset(
    finding('axis.up', ['neck', 'shin', 'foot']),
    finding('axis.aim', ['neck']),
    finding('root.single', ['body']),
    finding('name.side', ['wing'], true),
  );
  const after = asset(
    finding('axis.up', ['shin', 'tail']),
    finding('root.single', ['body']),
    finding('skin.sum', ['body']),
  );
  const changes = changesBetween(before, after);
  expect(changes.mended.map(({ rule }) => rule)).toEqual(['axis.aim']);
  expect(changes.fresh.map(({ rule }) => rule)).toEqual(['skin.sum']);
  expect(changes.moved.map(movedWords)).toEqual([
    'changed axis.up: no longer at "neck", "foot"; now also at "tail"',
  ]);
  expect(changeCounts(changes, false)).toBe('1 mended, 1 new, 1 changed, 1 as before');
  expect(changeCounts(changesBetween(null, after), true)).toBe('3 new, 0 as before');
});
