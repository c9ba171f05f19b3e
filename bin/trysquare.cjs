#!/usr/bin/env node
const { join } = require('node:path');
const { main, processIo, library } = command();

// All output has been handed over when main is done, so nothing is lost by leaving at once, and the
// time it takes to tear the heap down is saved.
main(
  process.argv,
  processIo(
    require.resolve('./worker.cjs'),
    join(__dirname, '../dist/page.js'),
    // Loaded when there is a module: few runs have one.
    (path, seconds) => require('./import-module.cjs').tryAndImport(path, seconds, library),
  ),
).then((code) => process.exit(code));

function command() {
  try {
    return require('./command.cjs').loadCommand('command');
  } catch (error) {
    if (error.code !== 'EMFILE' && error.code !== 'ENFILE') throw error;
    process.stderr.write(
      'trysquare: too many files are open to start; close programs, or raise the limit of open files (ulimit -n)\n',
    );
    process.exit(2);
  }
}
