import { expect, it } from 'vitest';
import { settlePrecedence } from '../../src/check/run-rules.js';
import { type Finding, judged } from '../../src/kit/finding.js';
import { type Rule, rule, type Yield } from '../../src/kit/rule.js';
import { wordsFor } from '../../src/kit/words.js';
import type { Rig } from '../../src/rig/types.js';

/** Joint 0 above 1 above 2; joint 3 apart. */
const parent = Int32Array.of(-1, 0, 1, -1);
const words = wordsFor({} as Rig, 1, 'm');

function makeRule(id: string, yieldsTo: readonly Yield[] = []): Rule {
  return rule({
    id,
    level: 'error',
    title: id,
    why: '',
    formula: '',
    remedy: '',
    source: '',
    limits: {},
    yieldsTo,
    check: () => judged<null>('joints', 0, []),
    say: () => ({ message: '', remedy: '' }),
    consequence: () => `${id} follows`,
  });
}

function at(joint: number, more: Partial<Finding> = {}): Finding {
  return {
    level: 'error',
    place: { kind: 'joint', joint },
    measured: 1,
    limit: 0,
    unit: 'degrees',
    details: null,
    ...more,
  };
}

function settle(...runs: [Rule, ...Finding[]][]) {
  const result = settlePrecedence(
    runs.map(([item, ...findings]) => ({ rule: item, outcome: judged('joints', 4, findings) })),
    words,
    parent,
  );
  return {
    standing: result.kept.map(
      ({ rule: item, finding }) => `${item.id} ${JSON.stringify(finding.place)}`,
    ),
    consequences: result.kept.map((item) => [...item.consequences]),
    short: result.runs.map(({ outcome }) => (outcome.kind === 'judged' ? outcome.short : null)),
    elsewhere: result.runs.map(({ outcome }) =>
      outcome.kind === 'judged' ? outcome.elsewhere : null,
    ),
  };
}

const first = makeRule('a.first');

it('a finding steps back for another on one of its joints, which then tells what follows', () => {
  const second = makeRule('a.second', [{ to: ['a.first'], on: 'joints' }]);
  const { standing, consequences, short } = settle([first, at(1)], [second, at(1), at(2)]);
  expect(standing).toEqual([
    'a.first {"kind":"joint","joint":1}',
    'a.second {"kind":"joint","joint":2}',
  ]);
  expect(consequences).toEqual([['a.second follows'], []]);
  expect(short).toEqual([1, 1]);
});

it('joints named beside the place count too', () => {
  const second = makeRule('a.second', [{ to: ['a.first'], on: 'joints' }]);
  expect(settle([first, at(2)], [second, at(0, { joints: [0, 1, 2] })]).standing).toHaveLength(1);
});

it('a finding can step back for one anywhere in the rig', () => {
  const second = makeRule('a.second', [{ to: ['a.first'], on: 'rig' }]);
  expect(settle([first, at(3)], [second, at(0)]).standing).toHaveLength(1);
});

it('a finding can step back for one at a joint above, and not for one below', () => {
  const second = makeRule('a.second', [{ to: ['a.first'], on: 'above' }]);
  expect(settle([first, at(0)], [second, at(2)]).standing).toHaveLength(1);
  expect(settle([first, at(2)], [second, at(0)]).standing).toHaveLength(2);
  expect(settle([first, at(3)], [second, at(2)]).standing).toHaveLength(2);
});

it('nothing steps back for a finding that has itself stepped back', () => {
  const second = makeRule('a.second', [{ to: ['a.first'], on: 'joints' }]);
  const third = makeRule('a.third', [{ to: ['a.second'], on: 'joints' }]);
  const { standing } = settle([third, at(1)], [second, at(1)], [first, at(1)]);
  expect(standing).toEqual([
    'a.third {"kind":"joint","joint":1}',
    'a.first {"kind":"joint","joint":1}',
  ]);
});

it('a finding that covers another rule silences it at the same place only', () => {
  const other = makeRule('b.other');
  const { standing } = settle([other, at(1), at(2)], [first, at(1, { covers: ['b.other'] })]);
  expect(standing).toEqual([
    'b.other {"kind":"joint","joint":2}',
    'a.first {"kind":"joint","joint":1}',
  ]);
});

it('a finding that lists several joints counts each of them', () => {
  const places = [1, 2, 3].map((joint) => ({ kind: 'joint' as const, joint }));
  expect(settle([first, at(1, { places }), at(0)]).short).toEqual([4]);
  const second = makeRule('a.second', [{ to: ['a.first'], on: 'joints' }]);
  const { short, elsewhere } = settle([first, at(1)], [second, at(1, { places })]);
  expect([short, elsewhere]).toEqual([
    [1, 0],
    [0, 3],
  ]);
});

it('no rule held whose finding stands or is told elsewhere, however little it counted', () => {
  const second = makeRule('a.second', [{ to: ['a.first'], on: 'joints' }]);
  const uncounted = (item: Rule, finding: Finding) => ({
    rule: item,
    outcome: judged('joints', 4, [finding], 0),
  });
  const { runs } = settlePrecedence(
    [uncounted(first, at(1)), uncounted(second, at(1))],
    words,
    parent,
  );
  expect(runs.map(({ outcome }) => outcome)).toMatchObject([
    { short: 1, elsewhere: 0 },
    { short: 0, elsewhere: 1 },
  ]);
});
