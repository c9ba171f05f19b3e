import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { inject } from 'vitest';
// For the type of what it provides.
import type {} from './build-once.js';
import { BUILT, type Built, type Packing } from './source-copy.js';

export const built: Built = await packing(join(inject('building'), BUILT));

async function packing(file: string): Promise<Built> {
  while (!existsSync(file)) await setTimeout(50);
  // `build-once.ts` writes nothing else.
  const { built, failed } = JSON.parse(readFileSync(file, 'utf8')) as Packing;
  if (built === null) throw new Error(`the command could not be built: ${failed}`);
  return built;
}
