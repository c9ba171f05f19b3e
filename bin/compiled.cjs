const { createHash } = require('node:crypto');
const { readFileSync } = require('node:fs');
const { createRequire, wrap } = require('node:module');
const { dirname, join } = require('node:path');
const { Script } = require('node:vm');

const file = join(__dirname, '../dist/cli.cjs');

/**
 * Where the build keeps the code of the command as the engine has compiled it: a digest, then the code.
 * Engines take only what was compiled under the same flags, so that workers have code of their own.
 */
const KEPT = { command: 'cli.code', worker: 'cli.worker-code' };

/** Bytes of the digest of the source that the code was compiled from, and of the engine. */
const DIGEST = 32;

/**
 * The built command and its script. Compiling what a check runs takes longer than most checks, so it
 * is taken as the build left it; an engine of another version refuses it and compiles as usual.
 */
function compile(role = 'command') {
  const keptFile = join(__dirname, '../dist', KEPT[role]);
  const source = readFileSync(file);
  const script = new Script(wrap(source.toString('utf8')), {
    filename: file,
    cachedData: keptCode(source, keptFile),
  });
  const command = { exports: {} };
  const run = script.runInThisContext();
  run(command.exports, createRequire(file), command, file, dirname(file));
  return { exports: command.exports, script, digest: digestOf(source), keptFile };
}

/**
 * The engine itself compares little: code of another source is told by its digest, and so is code of
 * another engine. One whose version differs in its last part takes such code, and crashes on it.
 */
function keptCode(source, keptFile) {
  try {
    const kept = readFileSync(keptFile);
    if (kept.subarray(0, DIGEST).equals(digestOf(source))) return kept.subarray(DIGEST);
  } catch {
    // A build without it is only slower.
  }
  return undefined;
}

function digestOf(source) {
  const { version, versions, platform, arch } = process;
  const engine = [version, versions.v8, platform, arch].join(' ');
  return createHash('sha256').update(engine).update(source).digest();
}

module.exports = { compile };
