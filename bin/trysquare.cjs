#!/usr/bin/env node
const { main, processIo } = require('../dist/cli.cjs');

// All output has been handed over when main is done, so nothing is lost by leaving at once, and the
// time it takes to tear the heap down is saved.
main(process.argv, processIo()).then((code) => process.exit(code));
