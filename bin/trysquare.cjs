#!/usr/bin/env node
const { join } = require('node:path');
const { main, processIo } = require('./command.cjs');

// All output has been handed over when main is done, so nothing is lost by leaving at once, and the
// time it takes to tear the heap down is saved.
main(
  process.argv,
  processIo(require.resolve('./worker.cjs'), join(__dirname, '../dist/page.js')),
).then((code) => process.exit(code));
