import { expect, it } from 'vitest';
import { pairRigs } from '../../src/check/pair-rigs.js';
import type { Rig, RigModel } from '../../src/rig/types.js';

/** As much of a rig as pairing looks at. */
function rig(name: string, ...joints: string[]): Rig {
  const table = {
    count: joints.length,
    names: joints,
    named: joints.map((joint) => joint !== 'unnamed'),
  };
  return { name, joints: table } as unknown as Rig;
}

function paired(approved: readonly Rig[], rigs: readonly Rig[]): (string | null)[] {
  const model = { rigs: approved } as unknown as RigModel;
  const pairs = pairRigs({ name: 'approved.glb', model, clips: [] }, rigs);
  return rigs.map((each) => pairs.get(each)?.rig?.name ?? null);
}

it('one rig is compared with one, whatever its joints are called', () => {
  expect(paired([rig('heron', 'root', 'neck')], [rig('other', 'a', 'b')])).toEqual(['heron']);
});

it('several are compared by the names of joints that they share, one with one', () => {
  const approved = [rig('heron', 'root', 'neck', 'bill'), rig('lamp', 'hook', 'chain')];
  const [lamp, heron] = [rig('1', 'hook', 'chain'), rig('2', 'root', 'neck')];
  expect(paired(approved, [lamp, heron])).toEqual(['lamp', 'heron']);
  expect(paired(approved, [heron, lamp, rig('3', 'root')])).toEqual(['heron', 'lamp', null]);
});

it('unnamed joints are no names that rigs share', () => {
  const approved = [rig('heron', 'unnamed', 'neck'), rig('lamp', 'unnamed', 'hook')];
  expect(paired(approved, [rig('1', 'unnamed', 'hook'), rig('2', 'unnamed')])).toEqual([
    'lamp',
    null,
  ]);
});

it('rigs without a name in common are compared in order, if they have as many joints', () => {
  const approved = [rig('a', 'unnamed', 'unnamed'), rig('b', 'unnamed'), rig('c', 'unnamed')];
  const rigs = [rig('1', 'unnamed'), rig('2', 'unnamed', 'unnamed'), rig('3', 'x', 'y', 'z')];
  expect(paired(approved, rigs)).toEqual(['b', 'a', null]);
});

it('the first rig alone is told which approved rigs nobody answers to', () => {
  const approved = [rig('heron', 'neck'), rig('lamp', 'hook'), rig('mule', 'hoof')];
  const rigs = [rig('1', 'hook'), rig('2', 'ear')];
  const model = { rigs: approved } as unknown as RigModel;
  const pairs = pairRigs({ name: 'approved.glb', model, clips: [] }, rigs);
  const unanswered = rigs.map((each) => pairs.get(each)?.unanswered.map(({ name }) => name));
  expect(unanswered).toEqual([['heron', 'mule'], []]);
});

/** What made each pair, and how many names its rigs share. */
function ways(approved: readonly Rig[], rigs: readonly Rig[]) {
  const model = { rigs: approved } as unknown as RigModel;
  const pairs = pairRigs({ name: 'approved.glb', model, clips: [] }, rigs);
  return rigs.map((each) => {
    const { rig: found = null, by = null } = pairs.get(each) ?? {};
    return found && by && [found.name, by.way, by.shared];
  });
}

it('tells what made a pair', () => {
  const heron = rig('heron', 'root', 'neck');
  expect(ways([heron], [rig('1', 'neck')])).toEqual([['heron', 'only', 1]]);
  expect(ways([heron], [rig('1', 'neck'), rig('2', 'root', 'neck')])).toEqual([
    null,
    ['heron', 'joints', 2],
  ]);
  const nameless = [rig('a', 'unnamed'), rig('b', 'unnamed', 'unnamed')];
  expect(ways(nameless, [rig('1', 'unnamed', 'unnamed')])).toEqual([['b', 'count', 0]]);
});

it('of rigs that share as many names, takes the one of the same name, then the largest, then the first', () => {
  const [small, large] = [rig('small', 'root', 'a'), rig('large', 'root', 'b', 'c')];
  expect(ways([small, large], [rig('small', 'root', 'd')])).toEqual([['small', 'name', 1]]);
  expect(ways([small, large], [rig('other', 'root', 'd')])).toEqual([['large', 'larger', 1]]);
  expect(ways([small], [rig('1', 'root', 'd'), rig('2', 'root', 'd', 'e')])).toEqual([
    null,
    ['small', 'larger', 1],
  ]);
  const twins = [rig('left', 'root', 'a'), rig('right', 'root', 'a')];
  expect(ways(twins, [rig('1', 'root', 'a'), rig('2', 'root', 'a')])).toEqual([
    ['left', 'order', 2],
    ['right', 'order', 2],
  ]);
});
