import fs from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';

/**
 * What a call that changes the disk is answered with; null where it goes as it should. Calls are counted
 * from 0; `path` is that of the file, or of the first of two.
 */
export type Fault = (call: number, path: string) => 'full' | 'killed' | 'read-only' | null;

/** Everything in `node:fs` by which our code changes the disk. */
const CHANGES = [
  'openSync',
  'writeSync',
  'renameSync',
  'linkSync',
  'rmSync',
  'rmdirSync',
  'mkdirSync',
  'fchmodSync',
] as const;

const CODES = { full: 'ENOSPC', killed: 'EKILLED', 'read-only': 'EROFS' } as const;

/** An error of the system, as Node.js throws it. */
function errorOf(code: string): Error {
  return Object.assign(new Error(`${code}: by the test`), { code });
}

/**
 * Runs work while calls that change the disk fail. A disk that is full takes half of what is written and
 * refuses the rest, and new files; it still lets files be moved and removed. From the call on at which the
 * process is killed nothing changes any more, as far as the disk shows: clearing up fails, too. Gives back
 * how many such calls there were.
 */
export async function withFaults(
  fault: Fault,
  work: () => unknown,
): Promise<{ readonly calls: number; readonly error: unknown }> {
  const real = new Map(CHANGES.map((name) => [name, fs[name]]));
  // The one object that all imports of the module are made from.
  const table = fs as unknown as Record<string, (...args: unknown[]) => unknown>;
  const paths = new Map<unknown, string>();
  let calls = 0;
  for (const [name, original] of real) {
    const call = original as (...args: unknown[]) => unknown;
    table[name] = (...args) => {
      if (name === 'openSync' && !String(args[1]).startsWith('w')) return call(...args);
      const path = paths.get(args[0]) ?? String(args[0]);
      const what = fault(calls++, path);
      if (what === null) {
        const result = call(...args);
        if (name === 'openSync') paths.set(result, path);
        return result;
      }
      if (name === 'writeSync' && args[1] instanceof Uint8Array) {
        const from = Number(args[2] ?? 0);
        call(args[0], args[1], from, Math.floor((args[1].byteLength - from) / 2));
      }
      const isRoom = name === 'writeSync' || name === 'openSync' || name === 'mkdirSync';
      if (what === 'full' && !isRoom) return call(...args);
      throw errorOf(CODES[what]);
    };
  }
  syncBuiltinESMExports();
  try {
    await work();
    return { calls, error: null };
  } catch (error) {
    return { calls, error };
  } finally {
    for (const [name, original] of real) table[name] = original as (...args: unknown[]) => unknown;
    syncBuiltinESMExports();
  }
}
