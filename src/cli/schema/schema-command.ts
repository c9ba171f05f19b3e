import { rules } from '../../../rules/index.js';
import type { Io } from '../io.js';
import { writeDocument } from '../output/write-output.js';

/** Each schema, loaded when it is asked for. */
const SCHEMAS = {
  standard: async () => (await import('../../standard/standard-schema.js')).standardSchema(rules),
  waivers: async () => (await import('../../waivers/ledger-schema.js')).ledgerSchema(rules),
  report: async () => (await import('../../report/report-schema.js')).reportSchema,
  mend: async () => (await import('../mend/mend-report-schema.js')).mendReportSchema,
  grades: async () => (await import('../../grade/older/grades-schema.js')).gradesSchema,
};

export type SchemaName = keyof typeof SCHEMAS;

/** `trysquare schema`: prints a JSON Schema. */
export async function printSchema(name: SchemaName, io: Io): Promise<void> {
  await writeDocument(io.stdout, `${JSON.stringify(await SCHEMAS[name](), null, 2)}\n`);
}
