import { existsSync } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { withSchema } from '../../house/schema-line.js';
import { visible } from '../../report/visible.js';
import { STANDARD_NAME } from '../../standard/find-standard.js';
import { startingStandard } from '../../standard/starting-file.js';
import { EXIT } from '../exit-codes.js';
import { distOf, type Io } from '../io.js';
import { tell, writeWhole } from '../output/write-output.js';
import { schemaPlace } from '../schema-place.js';
import type { StandardFlags } from './standard-flags.js';

/** `trysquare standard init`: writes a commented standard, never over anything. */
export async function initStandard(file: string, flags: StandardFlags, io: Io): Promise<number> {
  const path = resolve(io.cwd, file);
  if (existsSync(path))
    throw new UsageError(
      `${file} exists already and was not changed; name another file, or edit this one`,
    );
  const put = (text: string): void => {
    const schema = schemaPlace(dirname(path), 'standard', distOf(io));
    writeWhole(path, file, withSchema(text, 'standard', schema), false);
  };
  const { like, ...others } = flags;
  if (like !== undefined) {
    const { initLike } = await import('./init-like.js');
    return initLike(like, others, io, { shown: file, put });
  }
  if (Object.keys(others).length > 0)
    throw new UsageError('--without and --time-limit go with --like; name approved rigs with it');
  put(startingStandard(rules, basename(path)));
  const next =
    basename(path) === STANDARD_NAME
      ? 'run "trysquare check" in its folder or a folder below'
      : `name it to each command: trysquare check RIG --standard ${visible(file)}`;
  await tell(io, `wrote ${visible(file)}; set its conventions, then ${next}`);
  return EXIT.sound;
}
