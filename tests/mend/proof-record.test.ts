import { expect, it } from 'vitest';
import { proveSame } from '../../src/mend/proof/proof.js';
import { ProofRecord } from '../../src/mend/proof/proof-record.js';
import { UNSEEN } from '../../src/mend/proof/proof-seen.js';
import { KEYS, lookedAt, shown } from './proof-looks.js';

/** A clip whose morph targets weigh otherwise at its second key, which is at 0.5 s. */
const [, , , second = 0] = KEYS;
const otherKeys = KEYS.map((weight, at) => (at === 3 ? second + 0.1 : weight));

it('holds what each sampled time shows, and the worst of it is the figure of the proof', async () => {
  const [a, b] = [await shown(lookedAt()), await shown(lookedAt({ keys: otherKeys }))];
  const record = new ProofRecord();
  const wanted = { aim: null, up: null };
  const proof = proveSame(a.model, b.model, [a.looks, b.looks], wanted, undefined, record);
  // Nothing is compared in another way for its sake.
  expect(proveSame(a.model, b.model, [a.looks, b.looks])).toEqual(proof);
  const [clip, ...others] = record.list();
  expect(others).toEqual([]);
  const samples = clip?.samples ?? [];
  // The stored pose is the only one that is no sample of a clip.
  expect(samples).toHaveLength(proof.poses - 1);
  expect(samples.map(({ time }) => time)).toEqual(
    samples.map(({ time }) => time).sort((x, y) => x - y),
  );
  const apart = samples.filter(({ share }) => share > 1e-6);
  expect(apart.map(({ time }) => time)).toEqual(
    samples.map(({ time }) => time).filter((time) => time > 0 && time < 1),
  );
  const worst = samples.find(({ time }) => time === 0.5);
  expect(worst?.share).toBe(proof.clips.share);
  expect(worst?.share).toBe(Math.max(...samples.map(({ share }) => share)));
  expect(worst?.where).toMatchObject({ time: 0.5, vertex: proof.where?.vertex });
});

it('keeps the worst of several rigs at a time, and clips in the order of the file', () => {
  const record = new ProofRecord();
  record.add(1, 'fly', 0.5, { ...UNSEEN, share: 3e-7 });
  record.add(0, 'wade', 1, { ...UNSEEN, share: 1e-7 });
  record.add(1, 'fly', 0.5, { ...UNSEEN, share: 5e-7 });
  record.add(1, 'fly', 0.5, { ...UNSEEN, share: 4e-7 });
  record.add(1, 'fly', 0, UNSEEN);
  const share = (time: number, value: number) => ({ time, share: value, where: null });
  expect(record.list()).toEqual([
    { clip: 0, name: 'wade', samples: [share(1, 1e-7)] },
    { clip: 1, name: 'fly', samples: [share(0, 0), share(0.5, 5e-7)] },
  ]);
});
