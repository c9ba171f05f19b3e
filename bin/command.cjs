/** What the built command exports: for the command line and for workers. */
module.exports = require('./compiled.cjs').compile().exports;
