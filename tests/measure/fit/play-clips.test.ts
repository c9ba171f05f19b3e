import { describe, expect, test } from 'vitest';
import { ClipNodes } from '../../../src/measure/fit/clip-nodes.js';
import { prefixBetween } from '../../../src/measure/fit/clip-prefix.js';
import { countedNodes } from '../../../src/measure/fit/clip-scope.js';
import type { NodeTable } from '../../../src/rig/types.js';

/** Nodes by their paths, parents first: `stage`, `stage/body`. */
function nodesOf(...paths: readonly string[]): NodeTable {
  const parent = Int32Array.from(paths, (path) => paths.indexOf(path.replace(/\/?[^/]*$/, '')));
  const names = paths.map((path) => path.replace(/.*\//, '') || null);
  const none = new Float64Array(0);
  return {
    count: paths.length,
    parent,
    children: paths.map((_, at) => [...parent.keys()].filter((node) => parent[node] === at)),
    tops: [...parent.keys()].filter((node) => parent[node] === -1),
    order: Int32Array.from(paths.keys()),
    names,
    translation: none,
    rotation: none,
    scale: none,
    local: none,
    world: none,
  };
}

describe('a node is found', () => {
  const rig = nodesOf('stage', 'stage/leg', 'stage/leg/tip', 'stage/arm', 'stage/arm/tip');

  test.each([
    ['by its path', ['stage', 'stage/arm', 'stage/arm/tip'], 4],
    [
      'by what stands above it, where the top has another name',
      ['root', 'root/arm', 'root/arm/tip'],
      4,
    ],
    ['by its name, where nothing above it is known', ['wing', 'wing/arm'], 3],
    ['as the first, where nothing tells several of one name apart', ['wing', 'wing/tip'], 2],
    ['not under another name', ['stage', 'stage/wing'], -1],
  ])('%s', (_, paths, expected) => {
    const clips = nodesOf(...paths);
    expect(new ClipNodes(rig).find(clips, clips.count - 1)).toBe(expected);
  });

  test('by its whole path before one that only ends in it', () => {
    const deep = nodesOf('stage', 'stage/arm', 'arm');
    expect(new ClipNodes(deep).find(nodesOf('arm'), 0)).toBe(2);
  });

  test('among those that are asked for alone, and never without a name', () => {
    const clips = nodesOf('stage', 'stage/arm');
    expect(new ClipNodes(rig, [0, 1, 2]).find(clips, 1)).toBe(-1);
    const nameless = { ...clips, names: [null, null] };
    expect(new ClipNodes({ ...rig, names: rig.names.map(() => null) }).find(nameless, 1)).toBe(-1);
  });
});

test.each([
  ['before the names of the clips', ['old:leg', 'old:arm'], ['leg', 'arm', 'tip'], 'old:', 'clips'],
  ['before the names of the rig', ['leg', 'arm'], ['a_leg', 'a_arm'], 'a_', 'rig'],
])('a prefix is seen %s', (_, strays, names, text, of) => {
  expect(prefixBetween(strays, names)).toEqual({ text, of });
});

test.each([
  ['not all names have it', ['old:leg', 'arm'], ['leg', 'arms']],
  ['it leads to no name', ['old:leg'], ['wing']],
  ['there are no names', [], ['leg']],
])('no prefix is seen where %s', (_, strays, names) => {
  expect(prefixBetween(strays, names)).toBeNull();
});

describe('of a file of clips, what counts', () => {
  const file = nodesOf(
    'scene',
    'scene/camera',
    'scene/stage',
    'scene/stage/body',
    'scene/stage/body/leg',
    'scene/stage/body/arm',
    'lamp',
  );
  const counted = (known: readonly number[]): number[] => {
    const isCounted = countedNodes(file, known);
    return Array.from(file.order).filter(isCounted);
  };

  test('is all that hangs on the lowest node that the known ones share, and what that hangs on', () => {
    expect(counted([4, 5])).toEqual([0, 2, 3, 4, 5]);
    expect(counted([4])).toEqual([0, 2, 3, 4]);
  });

  test('are whole trees where the known ones share no node', () => {
    expect(counted([5, 6])).toEqual([0, 1, 2, 3, 4, 5, 6]);
  });

  test('is everything where nothing is known', () => {
    expect(counted([])).toHaveLength(file.count);
  });
});
