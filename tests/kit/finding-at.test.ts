import { expect, test } from 'vitest';
import { atJoint, atJoints, type Finding, findingsOf, judgedAsOne } from '../../src/kit/finding.js';

const finding: Finding<null> = {
  ...atJoints([4, 2, 7]),
  level: 'note',
  measured: 3,
  limit: 0,
  unit: 'joints',
  details: null,
};

test('a finding about joints is at the first of them, or at the worst where that is told', () => {
  expect(atJoint(4)).toEqual({ place: { kind: 'joint', joint: 4 }, joints: [4] });
  expect(atJoints([4, 2, 7]).place).toEqual({ kind: 'joint', joint: 4 });
  expect(atJoints([4, 2, 7], 2)).toEqual({
    place: { kind: 'joint', joint: 2 },
    places: [4, 2, 7].map((joint) => ({ kind: 'joint', joint })),
    joints: [4, 2, 7],
  });
});

test('what holds has no finding, and the others keep their order', () => {
  const measured = findingsOf([1, -1, 2], (value) =>
    value > 0 ? { ...finding, measured: value } : null,
  ).map((item) => item.measured);
  expect(measured).toEqual([1, 2]);
});

test('one finding counts all that it tells of as short', () => {
  expect(judgedAsOne('joints', 31, finding)).toMatchObject({ looked: 31, short: 3 });
});
