const { setFlagsFromString } = require('node:v8');
const { worker } = require('workerpool');
const { compile } = require('./compiled.cjs');

const { runWithin } = compile('worker').exports;

// A worker is one of several that share the machine, so less of a check is compiled well than the
// engine would by itself: what runs often, not what is merely small, and large loops before they are
// through. Engines that do not know a flag go on without.
for (const flag of [
  '--interrupt-budget=1000000',
  '--max-bytecode-size-for-early-opt=0',
  '--bytecode-size-allowance-per-tick=600',
])
  setFlagsFromString(flag);

// Ctrl-C reaches every process of a terminal; the one that started this decides when it ends.
process.on('SIGINT', () => undefined);

worker({ runWithin });
