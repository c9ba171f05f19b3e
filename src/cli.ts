import type { runWithin as RunWithin } from './batch/task.js';
import type { mendWithin as MendWithin } from './cli/mend/mend-work.js';

export { processIo } from './cli/io.js';
export { main } from './cli/main.js';

/** Checks an asset in a worker; the rules are loaded when there is one to check. */
export const runWithin: typeof RunWithin = async (...args) => {
  return (await import('./batch/task.js')).runWithin(...args);
};

/** Mends an asset in a worker; loaded when there is one to mend. */
export const mendWithin: typeof MendWithin = async (...args) => {
  return (await import('./cli/mend/mend-work.js')).mendWithin(...args);
};

/** What a module of the house's own imports from `trysquare`; loaded when there is such a module. */
export const library = (): Promise<typeof import('./index.js')> => import('./index.js');
