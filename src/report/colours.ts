import { Chalk } from 'chalk';
import type { Paint } from './paint.js';

// Whether to colour at all has been decided by who asks: the sixteen colours every terminal has.
const chalk = new Chalk({ level: 1 });

/** Colours for a terminal. */
export const COLOURS: Paint = {
  error: chalk.red.bold,
  warning: chalk.yellow,
  note: chalk.cyan,
  good: chalk.green.bold,
  title: chalk.bold,
  faint: chalk.dim,
};
