import { Script } from 'node:vm';
import { AssetError } from '../asset/errors.js';
import type { Amount, Guard } from '../asset/guard.js';
import { tooLong } from './task-limits.js';

/** Where work lies for the script that is interrupted: scripts see nothing else of ours. */
const WORK: unique symbol = Symbol.for('trysquare.work');

const script = new Script(`globalThis[Symbol.for('trysquare.work')]()`);
const TIMEOUT = 'ERR_SCRIPT_EXECUTION_TIMEOUT';

/**
 * A guard that ends work once a time is over, counted from its making. The engine watches from a thread
 * of its own (some 0.1 ms a stretch), so that a busy parent or thread does not matter. Work that is
 * ended runs no `finally`: nothing may be open in it.
 */
export function timeGuard(seconds: number): Guard {
  const end = performance.now() + 1000 * seconds;
  return {
    expect: () => undefined,
    run: (work) => {
      try {
        return interruptible(work, Math.ceil(end - performance.now()));
      } catch (error) {
        if (error instanceof Error && 'code' in error && error.code === TIMEOUT)
          throw new AssetError(tooLong(seconds));
        throw error;
      }
    },
  };
}

/** Runs work, and throws as the engine does when it takes longer than `milliseconds`. */
function interruptible<T>(work: () => T, milliseconds: number): T {
  const results: T[] = [];
  // Any object has room for a symbol of our own.
  const place = globalThis as { [WORK]?: () => void };
  place[WORK] = () => void results.push(work());
  try {
    script.runInThisContext({ timeout: Math.max(1, milliseconds) });
  } finally {
    delete place[WORK];
  }
  // The script ran to its end, or it has thrown.
  return results[0] as T;
}

/**
 * What is checked in the process of the command itself, where memory cannot be bounded: within these it
 * stays far below any heap. Characters are; the sum of all is a check of about a second.
 */
const SMALL: Readonly<Record<Amount, number>> = {
  jsonBytes: 2 ** 24,
  nodes: 1e4,
  decodedBytes: 2 ** 25,
};

/** Seconds that a small asset may take there, before a worker is given it anew. */
const SMALL_SECONDS = 2;

/** A guard that gives up an asset that is not small, or is not done soon: then what came of it says nothing. */
export function smallGuard(seconds: number): Guard & { readonly gaveUp: boolean } {
  const soon = Math.min(seconds, SMALL_SECONDS);
  const time = timeGuard(soon);
  let gaveUp = false;
  return {
    get gaveUp() {
      return gaveUp;
    },
    expect(amount, count) {
      if (count <= SMALL[amount]) return;
      gaveUp = true;
      // Never shown, since a worker is given the asset then.
      throw new AssetError('this asset is checked by a worker');
    },
    run(work) {
      try {
        return time.run(work);
      } catch (error) {
        // With a limit as short as that, it has been reached.
        if (error instanceof AssetError && error.reason === tooLong(soon)) gaveUp = soon < seconds;
        throw error;
      }
    },
  };
}
