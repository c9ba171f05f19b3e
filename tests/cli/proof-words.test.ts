import { expect, it } from 'vitest';
import { leftFor } from '../../src/cli/mend/left-words.js';
import { proofWords, seenWords } from '../../src/cli/mend/proof-words.js';
import { NOTHING, type ProofPlace, UNSEEN } from '../../src/mend/proof/proof-seen.js';

const place: ProofPlace = {
  rig: 'heron',
  part: 'heron_mesh',
  vertex: 12,
  clip: null,
  time: 0,
  target: null,
};

it('tells what was compared and how near it is', () => {
  expect(proofWords({ ...NOTHING, vertices: 1, poses: 1 })).toMatchInlineSnapshot(
    `"Proof: 1 vertex in 1 pose skinned before and after, at most 0 % of size apart (limit 0.001 % of size)."`,
  );
  const whole = { ...NOTHING, vertices: 1450, poses: 10, directions: 1450, targets: 2 };
  expect(proofWords({ ...whole, share: 1.234e-7, turn: 0.00012 })).toMatchInlineSnapshot(
    `"Proof: 1450 vertices in 10 poses, 2 morph targets included, skinned before and after, at most 0.0000123 % of size apart (limit 0.001 % of size), normals at most 0.00012° (limit 0.01°)."`,
  );
});

it('tells what is seen, where and when', () => {
  const moved = { ...UNSEEN, share: 0.02, where: place };
  expect(seenWords(moved)).toMatchInlineSnapshot(
    `"moves the mesh by 2 % of size at vertex 12 of heron_mesh, as stored (limit 0.001 % of size)"`,
  );
  const turned = { ...place, clip: 'bow', time: 0.12345, target: 1 };
  expect(seenWords({ ...UNSEEN, turn: 3.145, turned })).toMatchInlineSnapshot(
    `"turns a normal by 3.15° at vertex 12 of heron_mesh, clip bow at 0.123 s, morph target 1 at full weight (limit 0.01°)"`,
  );
  expect(
    seenWords({ ...moved, share: Infinity, where: null, turn: Infinity }),
  ).toMatchInlineSnapshot(
    `"gives the mesh a place that is not a number, and leaves a normal without a direction"`,
  );
});

it('tells reasons that differ in their measures alone as one, with the range', () => {
  const left = (place: string, why: string) => ({ rule: 'chain.stretch', place, why });
  expect(
    leftFor([
      left('a', 'moves "leg_2" by 7.49 % of size in 2 clips'),
      left('b', 'moves "leg_2" by 0.4 % of size in 2 clips'),
      left('b', 'moves "leg_2" by 12 % of size in 2 clips'),
      left('c', 'moves "leg_3" by 12 % of size in 2 clips'),
    ]).map(({ places, why }) => [places.join(), why]),
  ).toEqual([
    ['a,b', 'moves "leg_2" by 0.4 to 12 % of size in 2 clips'],
    ['c', 'moves "leg_3" by 12 % of size in 2 clips'],
  ]);
});
