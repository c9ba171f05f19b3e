const { createHash } = require('node:crypto');
const { readFileSync, writeFileSync } = require('node:fs');
const { createRequire, wrap } = require('node:module');
const { dirname, join } = require('node:path');
const { Script } = require('node:vm');

const file = join(__dirname, '../dist/cli.cjs');
const pathOf = (role) => join(__dirname, `../dist/${role}.code`);

/** Bytes of the seal that the code begins with. */
const SEAL = 32;

/** Compiles the command, with the code that the build kept for a role as far as that fits. */
function compileKept(role) {
  const source = readFileSync(file);
  const script = new Script(wrap(source.toString('utf8')), {
    filename: file,
    cachedData: keptCode(role, source),
  });
  const command = { exports: {} };
  const run = script.runInThisContext();
  run(command.exports, createRequire(file), command, file, dirname(file));
  return { exports: command.exports, script };
}

/** Keeps what the engine has compiled of the command so far. */
function keepCode(role, script) {
  const code = script.createCachedData();
  writeFileSync(pathOf(role), Buffer.concat([sealOf(readFileSync(file), code), code]));
}

function keptCode(role, source) {
  try {
    const kept = readFileSync(pathOf(role));
    const code = kept.subarray(SEAL);
    if (kept.subarray(0, SEAL).equals(sealOf(source, code))) return code;
  } catch {
    // A build without it is only slower.
  }
  return undefined;
}

/**
 * Engines look little at such code and crash on what is damaged, or was compiled by one that differs in
 * the last part of its version or in how it was built: the seal tells code, source and engine.
 */
function sealOf(source, code) {
  const { version, versions, platform, arch, config } = process;
  const engine = JSON.stringify([version, versions, platform, arch, config]);
  return createHash('sha256').update(engine).update(source).update(code).digest();
}

module.exports = { compileKept, keepCode };
