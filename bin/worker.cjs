const { setFlagsFromString } = require('node:v8');
const { worker } = require('workerpool');
const { compile } = require('./compiled.cjs');

const { runPacked } = compile('worker').exports;

// A worker is one of several that share the machine, so less of a check is compiled well than the
// engine would by itself. Engines that do not know the flag go on without.
setFlagsFromString('--interrupt-budget=1000000');

// Ctrl-C reaches every process of a terminal; the one that started this decides when it ends.
process.on('SIGINT', () => undefined);

worker({ runPacked });
