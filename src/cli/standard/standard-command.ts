import { existsSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { withSchema } from '../../house/schema-line.js';
import { startingStandard } from '../../standard/starting-file.js';
import { EXIT } from '../exit-codes.js';
import { distOf, type Io } from '../io.js';
import { tell, writeWhole } from '../output/write-output.js';
import { schemaPlace } from '../schema-place.js';

/** `trysquare standard init`: writes a commented standard, never over anything. */
export async function initStandard(file: string, io: Io): Promise<number> {
  const path = resolve(io.cwd, file);
  if (existsSync(path))
    throw new UsageError(
      `${file} exists already and was not changed; name another file, or edit this one`,
    );
  const schema = schemaPlace(dirname(path), 'standard', distOf(io));
  writeWhole(path, file, withSchema(startingStandard(rules), 'standard', schema), false);
  await tell(
    io,
    `wrote ${file}; set its conventions, then run "trysquare check" in its folder or a folder below`,
  );
  return EXIT.sound;
}
