import { describe, expect, test } from 'vitest';
import { rules } from '../../rules/index.js';
import type { WaiverText } from '../../src/waivers/ledger.js';
import { renamedLedger } from '../../src/waivers/move.js';
import { parseLedger } from '../../src/waivers/read-ledger.js';
import { type RigRenames, renamesOfPaths } from '../../src/waivers/waiver-renames.js';

const FOLDERS = { cwd: '/house', ledger: '/house' };

function renamed(waivers: readonly object[], renames: readonly RigRenames[], asset = 'heron.glb') {
  const text = JSON.stringify({
    waivers: waivers.map((waiver) => ({ rule: 'axis.up', why: 'w', by: 'b', ...waiver })),
  });
  const ledger = parseLedger(text, 'ledger', '/house', rules);
  const { change } = renamedLedger(ledger, asset, renames, FOLDERS);
  const told = ({ asset: own, rig, joint, accepted }: WaiverText) => [
    own,
    rig ?? null,
    joint,
    [...(accepted?.places ?? [])],
  ];
  return {
    instead: [...change.instead].map(([at, list]) => [at, list.map(told)]),
    added: change.added.map(told),
  };
}

const NECK: RigRenames = {
  rig: { old: 'body', now: 'trunk' },
  places: [
    { kind: 'joint', old: 'body/neck', now: 'trunk/neck' },
    { kind: 'rig', old: 'body', now: 'trunk' },
    { kind: 'node', old: 'stand/peg', now: 'stand/pin' },
  ],
};

const accepted = (places: Readonly<Record<string, number>>) => ({
  asset: 'heron.glb',
  level: 'error',
  measured: 9,
  unit: 'degrees',
  places,
});

describe('waivers of an asset whose joints have other names', () => {
  test('list the new ones, with what was accepted of the old', () => {
    const places = { 'body/neck': 9, 'rig:body': 1, 'node:stand/peg': 2, 'body/tail': 3 };
    expect(renamed([accepted(places)], [NECK]).instead).toEqual([
      [
        0,
        [
          [
            'heron.glb',
            null,
            null,
            [
              ['trunk/neck', 9],
              ['rig:trunk', 1],
              ['node:stand/pin', 2],
              ['body/tail', 3],
            ],
          ],
        ],
      ],
    ]);
  });

  test('name their rig anew, and keep to the names of that rig', () => {
    const other: RigRenames = {
      rig: { old: 'wick', now: 'wick' },
      places: [{ kind: 'joint', old: 'body/neck', now: 'elsewhere' }],
    };
    const waiver = { ...accepted({ 'body/neck': 9 }), rig: 'body' };
    expect(renamed([waiver], [other, NECK]).instead).toEqual([
      [0, [['heron.glb', 'trunk', null, [['trunk/neck', 9]]]]],
    ]);
  });

  test('that name one joint name it anew; a star stays', () => {
    const of = (joint: string) => ({ asset: 'heron.glb', joint });
    expect(renamed([of('body/neck'), of('*')], [NECK]).instead).toEqual([
      [0, [['heron.glb', null, 'trunk/neck', []]]],
    ]);
  });

  test('of a pattern stay for the others, and the asset gets its own', () => {
    const waiver = { ...accepted({ 'body/neck': 9 }), asset: 'h*.glb' };
    expect(renamed([waiver], [NECK])).toEqual({
      instead: [],
      added: [['heron.glb', null, null, [['trunk/neck', 9]]]],
    });
  });

  test('of other assets, and those without an old name, stay', () => {
    const nothing = { instead: [], added: [] };
    expect(renamed([accepted({ 'body/tail': 3 })], [NECK])).toEqual(nothing);
    expect(renamed([accepted({ 'body/neck': 3 })], [NECK], 'mule.glb')).toEqual(nothing);
  });
});

test('the paths that a mend wrote tell of joints, and by the topmost of rigs', () => {
  const paths = new Map([
    ['a\\/b', 'trunk'],
    ['a\\/b/neck', 'trunk/neck'],
  ]);
  expect(renamesOfPaths(paths)).toEqual([
    {
      rig: { old: 'a/b', now: 'trunk' },
      places: [
        { kind: 'joint', old: 'a\\/b', now: 'trunk' },
        { kind: 'joint', old: 'a\\/b/neck', now: 'trunk/neck' },
        { kind: 'rig', old: 'a/b', now: 'trunk' },
      ],
    },
  ]);
});
