import { existsSync } from 'node:fs';
import { explain } from '../../asset/byte-source.js';
import { MachineError } from '../../asset/errors.js';
import { visible } from '../../report/visible.js';

/** The folder that the process runs in. Throws MachineError where it is gone. */
export function workingFolder(): string {
  try {
    return process.cwd();
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : '';
    throw new MachineError(
      code === 'ENOENT'
        ? 'the folder that this command runs in does not exist any more; change to a folder that exists, and run it again'
        : `the folder that this command runs in cannot be found out: ${explain(error)}`,
    );
  }
}

/**
 * To be called where an asset cannot be read: if the folder that the run began in is gone, that is why,
 * and the asset is not at fault. Throws MachineError then.
 */
export function refuseGone({ cwd }: { readonly cwd: string }): void {
  if (existsSync(cwd)) return;
  throw new MachineError(
    `the folder that this command runs in, ${visible(cwd)}, does not exist any more; run the command again in a folder that exists`,
  );
}
