import type { Schema } from './schema-parts.js';

/** Whether a value fits a schema. */
export type SchemaTest = (value: unknown) => boolean;

/**
 * Makes a test of a schema that is put together from `schema-parts.ts`, whose keywords are all it knows.
 * For where the general checker would cost more than what it guards: that takes some 100 ms to start,
 * this less than one. It tells no reason. Throws for a keyword it does not know.
 */
export function schemaTest(schema: Schema): SchemaTest {
  for (const key of Object.keys(schema))
    if (!KNOWN.has(key)) throw new Error(`there is no test for the schema keyword ${key}`);
  if (schema.oneOf !== undefined) return oneOf(schema.oneOf.map(schemaTest));
  if (schema.enum !== undefined) return isIn(new Set(listOf(schema.enum)));
  if (schema.const !== undefined) return (value) => value === schema.const;
  const types = listOf(schema.type).map((type) => ofType(String(type), schema));
  const [first = never, second] = types;
  return second === undefined ? first : (value) => types.some((test) => test(value));
}

const KNOWN: ReadonlySet<string> = new Set([
  ...['$schema', '$id', 'title', 'description', 'oneOf', 'enum', 'const', 'type', 'minimum'],
  ...['items', 'minItems', 'maxItems', 'properties', 'required', 'additionalProperties'],
]);

const never: SchemaTest = () => false;

function oneOf(tests: readonly SchemaTest[]): SchemaTest {
  return (value) => tests.filter((test) => test(value)).length === 1;
}

function isIn(values: ReadonlySet<unknown>): SchemaTest {
  return (value) => values.has(value);
}

/** What fits a type, with the keywords that speak of values of that type. */
function ofType(type: string, schema: Schema): SchemaTest {
  const minimum = typeof schema.minimum === 'number' ? schema.minimum : -Infinity;
  switch (type) {
    case 'string':
      return (value) => typeof value === 'string';
    case 'boolean':
      return (value) => typeof value === 'boolean';
    case 'null':
      return (value) => value === null;
    case 'number':
      return (value) => typeof value === 'number' && Number.isFinite(value) && value >= minimum;
    case 'integer':
      return (value) => typeof value === 'number' && Number.isInteger(value) && value >= minimum;
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
    if (!isRecord(value)) return false;
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

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function listOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : [value];
}
