const nodeModule = require('node:module');
const { compileKept } = require('./kept-code.cjs');

/**
 * What the built command exports. Compiling what a small check runs takes a third as long as the check,
 * so what was compiled is kept: from 22 on by Node itself (its NODE_COMPILE_CACHE says where, and
 * NODE_DISABLE_COMPILE_CACHE keeps nothing), before that by the build.
 *
 * @param role 'command' or 'worker': an engine takes only what was compiled under its own flags.
 */
function loadCommand(role) {
  if (nodeModule.enableCompileCache === undefined) return compileKept(role).exports;
  nodeModule.enableCompileCache();
  const command = require('../dist/cli.cjs');
  // A worker is killed at its end, too late for what is written then.
  if (role === 'worker') nodeModule.flushCompileCache?.();
  return command;
}

module.exports = { loadCommand };
