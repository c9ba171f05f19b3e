import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { documentPath, renderDocument } from './docs.js';

writeFileSync(fileURLToPath(documentPath), await renderDocument());
