export { runWithin } from './batch/task.js';
export { processIo } from './cli/io.js';
export { main } from './cli/main.js';
