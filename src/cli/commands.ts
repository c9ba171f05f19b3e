import type { Command } from 'commander';
import { addCheck } from './check/check-options.js';
import { addDraw } from './draw/draw-options.js';
import { addGrade } from './grade/grade-options.js';
import type { Io } from './io.js';
import { addMend } from './mend/mend-options.js';
import { addMerge } from './merge/merge-options.js';
import { addRules } from './rules/rules-options.js';
import { addSchema } from './schema/schema-options.js';
import { addStandard } from './standard/standard-options.js';
import { addWaive } from './waive/waive-options.js';

/** Adds a command to the tree; `done` is told the exit code of a run. */
export type AddCommand = (program: Command, io: Io, done: (code: number) => void) => void;

/** Every command, in the order of help. */
export const COMMANDS: readonly AddCommand[] = [
  addCheck,
  addDraw,
  addMend,
  addWaive,
  addGrade,
  addMerge,
  addRules,
  addStandard,
  addSchema,
];
