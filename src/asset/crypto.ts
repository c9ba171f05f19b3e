import type * as Crypto from 'node:crypto';
import { createRequire } from 'node:module';

/** `node:crypto`, loaded when it is first asked for: that takes 2 ms, and many a check needs none of it. */
export function crypto(): typeof Crypto {
  // Any path will do, since what is built in lies at none; `require` says nothing of types.
  return createRequire(process.execPath)('node:crypto') as typeof Crypto;
}

/** A hash to be fed: SHA-256 (FIPS 180-4). */
export function sha256(): Crypto.Hash {
  return crypto().createHash('sha256');
}
