import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { AssetError } from '../../src/asset/errors.js';
import { smallGuard, timeGuard } from '../../src/batch/time-guard.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';

function forever(): never {
  for (;;);
}

/** Busy for a while, in ms. */
function busy(milliseconds: number): void {
  const end = performance.now() + milliseconds;
  while (performance.now() < end);
}

describe('a time limit', () => {
  it('gives back what the work gives, and throws what it throws', () => {
    const guard = timeGuard(5);
    expect(guard.run(() => guard.run(() => 'lantern'))).toBe('lantern');
    expect(guard.run(() => undefined)).toBeUndefined();
    const bug = new TypeError('no such joint');
    const failing = (): never => {
      throw bug;
    };
    expect(() => guard.run(failing)).toThrow(bug);
  });

  it('ends work that would never end, even where it catches all, and says so', () => {
    const start = performance.now();
    const stubborn = (): void => {
      for (;;) {
        try {
          forever();
        } catch {
          // Goes on.
        }
      }
    };
    expect(() => timeGuard(0.1).run(stubborn)).toThrow(AssetError);
    expect(performance.now() - start).toBeLessThan(2000);
    expect(() => timeGuard(0.1).run(forever)).toThrow(
      'longer than the limit of 0.1 s; set another limit with --time-limit',
    );
  });

  it('is one for all work of an asset, waits between included', async () => {
    const guard = timeGuard(0.05);
    await wait(100);
    expect(() => guard.run(forever)).toThrow(AssetError);
  });

  it('makes an asset unreadable that takes longer', async () => {
    const settings = defaultSettings(rules);
    const options = { settings, guard: { ...timeGuard(0.05), expect: () => busy(60) } };
    const { unreadable } = await checkAssetBytes(buildGlb('heron'), options);
    expect(unreadable?.reason).toContain('longer than the limit of 0.05 s');
  });
});

describe('a small asset', () => {
  it('is done here when it is small', async () => {
    const guard = smallGuard(120);
    const settings = defaultSettings(rules);
    expect((await checkAssetBytes(buildGlb('heron'), { settings, guard })).verdict).toBe('sound');
    expect(guard.gaveUp).toBe(false);
  });

  it.each([
    ['jsonBytes', 2 ** 24],
    ['nodes', 10_000],
    ['decodedBytes', 2 ** 25],
  ] as const)('is given up when it has more %s than %d', (amount, most) => {
    const guard = smallGuard(120);
    guard.expect(amount, most);
    expect(guard.gaveUp).toBe(false);
    expect(() => guard.expect(amount, most + 1)).toThrow(AssetError);
    expect(guard.gaveUp).toBe(true);
  });

  it('is told to be too long here where the limit is so short, and given up where it is not', () => {
    const short = smallGuard(0.1);
    expect(() => short.run(forever)).toThrow('longer than the limit of 0.1 s');
    expect(short.gaveUp).toBe(false);
    const long = smallGuard(120);
    expect(() => long.run(forever)).toThrow(AssetError);
    expect(long.gaveUp).toBe(true);
  });
});
