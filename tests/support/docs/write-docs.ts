import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { repository } from '../source-copy.js';
import { makePage } from './make-page.js';
import { pagePaths } from './read-page.js';
import { writePictures } from './write-pictures.js';

for (const path of pagePaths) writeFileSync(join(repository, path), (await makePage(path)).text);
const missing = await writePictures();
if (missing !== null) {
  process.stderr.write(`The picture of the page was not taken anew. ${missing}\n`);
  process.exitCode = 1;
}
