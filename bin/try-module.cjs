const { parentPort, workerData } = require('node:worker_threads');
const { loadCommand } = require('./command.cjs');
const { importModule } = require('./import-module.cjs');

/** After a promise that is left to fail has done so, which would end the process of a check. */
function tell(what) {
  setImmediate(() => parentPort.postMessage(what));
}

// What goes wrong is thrown again, and told, where the module is wanted.
importModule(workerData.path, loadCommand('command').library).then(
  () => tell('done'),
  () => tell('failed'),
);
