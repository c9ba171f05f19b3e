const { parentPort, workerData } = require('node:worker_threads');
const { loadCommand } = require('./command.cjs');
const { importModule } = require('./import-module.cjs');

// What goes wrong is thrown again, and told, where the module is wanted.
importModule(workerData.path, loadCommand('command').library).then(
  () => parentPort.postMessage('done'),
  () => parentPort.postMessage('failed'),
);
