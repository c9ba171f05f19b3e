const { readFileSync, writeFileSync } = require('node:fs');
const { createRequire, wrapper } = require('node:module');
const { dirname, join } = require('node:path');
const { Script } = require('node:vm');
const { crc32 } = require('node:zlib');

const file = join(__dirname, '../dist/cli.cjs');
const pathOf = (role) => join(__dirname, `../dist/${role}.code`);

/** Bytes of the seal that the code begins with. */
const SEAL = 4;

/**
 * Compiles the command, with the code that the build kept for a role as far as that fits; the engine
 * then says of the script whether it took the code (`cachedDataRejected`).
 */
function compileKept(role) {
  const source = readFileSync(file);
  const [head, tail] = wrapper.map((part) => Buffer.from(part));
  // Laid together as bytes and read as letters of one byte each (the build sees to it that they are):
  // together 1 ms less than text that is put together.
  const script = new Script(Buffer.concat([head, source, tail]).latin1Slice(), {
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
 * the last part of its version or in how it was built: the seal tells code, source and engine. It is
 * against accidents, since whoever can change the code can change the command beside it; a sum of 32
 * bits does for that, in 1 ms where a digest takes 4.
 */
function sealOf(source, code) {
  const { version, versions, platform, arch, config } = process;
  const parts = [version, versions, platform, arch, config, source.length, code.length];
  const engine = Buffer.from(JSON.stringify(parts));
  const seal = Buffer.alloc(SEAL);
  if (crc32 === undefined) digest([engine, source, code]).copy(seal);
  else seal.writeUInt32LE(crc32(code, crc32(source, crc32(engine))));
  return seal;
}

/** What Node before 20.15 has in place of the sum. */
function digest(parts) {
  const hash = require('node:crypto').createHash('sha256');
  for (const part of parts) hash.update(part);
  return hash.digest();
}

module.exports = { compileKept, keepCode };
