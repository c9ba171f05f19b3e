import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { Ajv } from 'ajv';
import { expect } from 'vitest';
import { GRADES_FILE } from '../../src/grade/older/grades-file.js';
import { gradesSchema } from '../../src/grade/older/grades-schema.js';

// JSON Schema, draft-07, as the package ajv checks it.
const isValid = new Ajv({ strict: true, allErrors: true, allowUnionTypes: true }).compile(
  gradesSchema,
);

/** Whatever a test grades: the file that is kept for the next hand-in is one by the public schema. */
export function expectValidGrades(cwd: string, args: readonly string[]): void {
  const at = args.findIndex((arg) => arg === '-o' || arg === '--out');
  const path = resolve(cwd, at === -1 ? 'grades' : (args[at + 1] ?? ''), GRADES_FILE);
  if (!existsSync(path)) return;
  expect(gradesErrors(JSON.parse(readFileSync(path, 'utf8')))).toEqual([]);
}

/** What is wrong with such a file, by the schema. */
export function gradesErrors(grades: unknown): unknown {
  return isValid(grades) ? [] : isValid.errors;
}
