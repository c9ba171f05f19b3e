import { rules } from '../../../rules/index.js';
import type { Io } from '../io.js';
import { writeDocument } from '../output/write-output.js';

/** `trysquare schema`: prints a JSON Schema. */
export async function printSchema(of: 'standard' | 'report' | 'waivers', io: Io): Promise<void> {
  await writeDocument(io.stdout, `${JSON.stringify(await schemaOf(of), null, 2)}\n`);
}

async function schemaOf(of: 'standard' | 'report' | 'waivers'): Promise<object> {
  switch (of) {
    case 'standard':
      return (await import('../../standard/standard-schema.js')).standardSchema(rules);
    case 'waivers':
      return (await import('../../waivers/ledger-schema.js')).ledgerSchema(rules);
    case 'report':
      return (await import('../../report/report-schema.js')).reportSchema;
  }
}
