// Loaded before a measured process: writes its peak memory in KiB when it ends.
const { writeFileSync } = require('node:fs');

process.on('exit', () => {
  writeFileSync(process.env.BENCH_MEMORY_FILE, String(process.resourceUsage().maxRSS));
});
