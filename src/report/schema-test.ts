import { isRecord, type Schema } from './schema-parts.js';

/** Whether a value fits a schema. */
export type SchemaTest = (value: unknown) => boolean;

/**
 * Makes a test of a schema that is put together from `schema-parts.ts`, whose keywords are all it knows.
 * For where the general checker would cost more than what it guards: that takes some 100 ms to start,
 * this less than one. It gives no reason. Throws for a keyword it does not know.
 */
export function schemaTest(schema: Schema): SchemaTest {
  for (const key of Object.keys(schema))
    if (!KNOWN.has(key)) throw new Error(`there is no test for the schema keyword ${key}`);
  if (schema.oneOf !== undefined) {
    const tests = schema.oneOf.map(schemaTest);
    return (value) => tests.filter((test) => test(value)).length === 1;
  }
  if (schema.enum !== undefined) {
    const values = new Set(listOf(schema.enum));
    return (value) => values.has(value);
  }
  if (schema.const !== undefined) return (value) => value === schema.const;
  const tests = listOf(schema.type).map((type) => typeTest(String(type), schema));
  const [only] = tests;
  return tests.length === 1 && only ? only : (value) => tests.some((test) => test(value));
}

const KNOWN: ReadonlySet<string> = new Set([
  ...['$schema', '$id', 'title', 'description', 'oneOf', 'enum', 'const', 'type', 'minimum'],
  ...['items', 'minItems', 'maxItems', 'properties', 'required', 'additionalProperties'],
]);

/** What fits a type, with the keywords that speak of values of that type. */
function typeTest(type: string, schema: Schema): SchemaTest {
  switch (type) {
    case 'string':
    case 'boolean':
      return (value) => typeof value === type;
    case 'null':
      return (value) => value === null;
    case 'number':
    case 'integer': {
      const fits = type === 'number' ? Number.isFinite : Number.isInteger;
      const minimum = typeof schema.minimum === 'number' ? schema.minimum : -Infinity;
      return (value) => typeof value === 'number' && fits(value) && value >= minimum;
    }
    case 'array':
      return arrayTest(schema);
    case 'object':
      return objectTest(schema);
    default:
      throw new Error(`there is no test for the type ${type}`);
  }
}

function arrayTest({ items, minItems, maxItems }: Schema): SchemaTest {
  if (items === undefined) throw new Error('lists tell what is in them in our schemas');
  const test = schemaTest(items);
  const least = typeof minItems === 'number' ? minItems : 0;
  const most = typeof maxItems === 'number' ? maxItems : Infinity;
  return (value) =>
    Array.isArray(value) && value.length >= least && value.length <= most && value.every(test);
}

/** Every property is known. Plain loops: a report is mostly small objects. */
function objectTest({ properties, required, additionalProperties }: Schema): SchemaTest {
  if (additionalProperties !== false) throw new Error('objects are closed in our schemas');
  const needed = new Set(listOf(required));
  const parts = Object.entries(properties ?? {}).map(([key, part]) => ({
    key,
    test: schemaTest(part),
    needed: needed.has(key),
  }));
  return (value) => {
    if (!isRecord(value) || Array.isArray(value)) return false;
    let found = 0;
    for (const { key, test, needed } of parts) {
      if (Object.hasOwn(value, key)) {
        if (!test(value[key])) return false;
        found++;
      } else if (needed) return false;
    }
    return found === Object.keys(value).length;
  };
}

function listOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : [value];
}
