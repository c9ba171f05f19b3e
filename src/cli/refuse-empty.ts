import type { Command } from 'commander';
import { UsageError } from '../asset/errors.js';

/**
 * Throws UsageError for an argument or an option with an empty value, such as an unset variable of a script
 * leaves: as a path it would be the working folder, which nobody meant.
 */
export function refuseEmpty(command: Command): void {
  const { args, options, registeredArguments } = command;
  const emptyAt = args.indexOf('');
  if (emptyAt !== -1) {
    const declared = registeredArguments[Math.min(emptyAt, registeredArguments.length - 1)];
    throw new UsageError(`the argument <${declared?.name() ?? 'path'}> is empty; give it a value`);
  }
  for (const option of options) {
    const value: unknown = command.getOptionValue(option.attributeName());
    const isEmpty = Array.isArray(value) ? value.includes('') : value === '';
    if (isEmpty)
      throw new UsageError(
        `${option.long ?? option.flags} is empty; give it a value, or leave it out`,
      );
  }
}
