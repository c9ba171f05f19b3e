export { runWithin } from './batch/task.js';
export { processIo } from './cli/io.js';
export { main } from './cli/main.js';

/** What a module of the house's own imports from `trysquare`; loaded when there is such a module. */
export const library = (): Promise<typeof import('./index.js')> => import('./index.js');
