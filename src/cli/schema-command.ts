import { rules } from '../../rules/index.js';
import { reportSchema } from '../report/report-schema.js';
import { standardSchema } from '../standard/standard-schema.js';
import type { Io } from './io.js';
import { writeText } from './write-output.js';

/** `trysquare schema`: prints a JSON Schema. */
export async function printSchema(of: 'standard' | 'report', io: Io): Promise<void> {
  const schema = of === 'standard' ? standardSchema(rules) : reportSchema;
  await writeText(io.stdout, `${JSON.stringify(schema, null, 2)}\n`);
}
