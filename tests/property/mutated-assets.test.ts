import { describe, expect, test } from 'vitest';
import { judge, STEPS } from '../fuzz/judge.js';
import { mutantAt } from '../fuzz/mutant.js';
import { seedAssets } from '../fuzz/seed-assets.js';
import { tempFolder } from '../support/temp-folder.js';

/** Not the seed of `npm run fuzz`, which tries ten thousand, so that both together see more. */
const SEED = 309;
const COUNT = 10;
/** Milliseconds for all of them, on a machine that is busy with other tests. */
const ROOM = 120_000;

describe('mutated assets', () => {
  test(
    'each end in one outcome in time, checked, drawn, paged, graded and mended',
    async () => {
      const seeds = await seedAssets();
      const folder = tempFolder();
      const outcomes = new Map<string, number>();
      const failed: string[] = [];
      for (let index = 0; index < COUNT; index++) {
        const mutant = mutantAt(seeds, SEED, index);
        const { steps, faults } = await judge(mutant, folder);
        for (const [name, { outcome }] of Object.entries(steps)) {
          const key = `${name}: ${outcome}`;
          outcomes.set(key, (outcomes.get(key) ?? 0) + 1);
        }
        for (const fault of faults) failed.push(`${index}, ${mutant.recipe}: ${fault}`);
      }
      expect(failed.slice(0, 10)).toEqual([]);
      expect([...new Set([...outcomes.keys()].map((key) => key.split(':')[0]))]).toEqual(
        STEPS.map(({ name }) => name),
      );
      // Mutants that a reader refuses at its door would try nothing behind it.
      const wanted = ['check: sound', 'check: unsound', 'check: unreadable', 'mend: mended'];
      for (const key of wanted) expect(outcomes.get(key), key).toBeGreaterThanOrEqual(COUNT / 10);
    },
    ROOM,
  );

  test('the same seed and index give the same mutant, another gives another', async () => {
    const seeds = await seedAssets();
    const again = await seedAssets();
    const [one, same] = [mutantAt(seeds, SEED, 7), mutantAt(again, SEED, 7)];
    expect(same).toEqual(one);
    const recipes = Array.from({ length: 20 }, (_, index) => mutantAt(seeds, SEED, index).recipe);
    expect(new Set(recipes).size).toBe(recipes.length);
  });
});
