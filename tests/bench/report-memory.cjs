// Loaded before every process of a measured command: keeps its peak memory in KiB in a file of its own.
const { readFileSync, renameSync, writeFileSync } = require('node:fs');
const { join } = require('node:path');

/** On Linux the peak that `getrusage` tells is the parent's until the child's own is larger. */
function peak() {
  try {
    const own = /^VmHWM:\s+(\d+) kB$/m.exec(readFileSync('/proc/self/status', 'utf8'));
    if (own !== null) return Number(own[1]);
  } catch {
    // No such file elsewhere.
  }
  return process.resourceUsage().maxRSS;
}

function keep() {
  const file = join(process.env.BENCH_MEMORY_FOLDER, String(process.pid));
  // A process that is killed meanwhile leaves what it told before, not half of it.
  writeFileSync(`${file}.part`, String(peak()));
  renameSync(`${file}.part`, file);
}

process.on('exit', keep);
// A worker is killed at its end, so it tells before each piece of work.
if (process.send !== undefined) process.prependListener('message', keep);
