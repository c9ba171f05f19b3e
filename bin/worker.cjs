const { setFlagsFromString } = require('node:v8');
const { worker, workerEmit } = require('workerpool');
const { loadCommand } = require('./command.cjs');

const { runWithin, mendWithin, library } = loadCommand('worker');

// A worker is one of several that share the machine, so less of a check is compiled well than the
// engine would by itself, which takes a quarter less of the processor. Not under flags of the process:
// an engine that does not know this one goes on without.
setFlagsFromString('--interrupt-budget=1000000');

// Ctrl-C reaches every process of a terminal; the one that started this decides when it ends.
process.on('SIGINT', () => undefined);

const load = (path) => require('./import-module.cjs').importModule(path, library);

worker({
  runWithin: (task, seconds) => runWithin(task, seconds, load),
  mendWithin: (task, seconds) => mendWithin(task, seconds, load, (told) => workerEmit({ told })),
});
