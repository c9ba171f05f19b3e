// Loaded before a measured process: writes its peak memory in KiB when it ends.
const { readFileSync, writeFileSync } = require('node:fs');

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

process.on('exit', () => {
  writeFileSync(process.env.BENCH_MEMORY_FILE, String(peak()));
});
