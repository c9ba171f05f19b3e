/** A JSON Schema, or a part of one. */
export interface Schema {
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly items?: Schema;
  readonly oneOf?: readonly Schema[];
  readonly const?: string | number | boolean;
  readonly [keyword: string]: unknown;
}

/** An object or a list. That of `house-file.ts` would load a parser with it. */
export function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null;
}

/** A part that differs from others of its kind in its description only. */
function part(keywords: Schema): (description: string) => Schema {
  return (description) => ({ ...keywords, description });
}

export const text = part({ type: 'string' });
export const textOrNull = part({ type: ['string', 'null'] });
export const flag = part({ type: 'boolean' });
/** A whole number from 0. */
export const count = part({ type: 'integer', minimum: 0 });
export const indexOrNull = part({ type: ['integer', 'null'], minimum: 0 });
/** JSON has no NaN and no infinity: such a number is null. */
const NUMBER: Schema = { type: ['number', 'null'] };
export const number = part(NUMBER);
/** So many numbers; see `number`. */
const numbers = (most: number) =>
  part({ type: 'array', items: NUMBER, minItems: most, maxItems: most });
export const point = numbers(3);
export const quaternion = numbers(4);
export const matrix = numbers(16);

export function constant(value: string | number | boolean, description: string): Schema {
  return { const: value, description };
}

export function oneOf(values: readonly (string | null)[], description: string): Schema {
  return { enum: values, description };
}

/** Exactly one of these schemas. */
export function either(schemas: readonly Schema[], description: string): Schema {
  return { oneOf: schemas, description };
}

/** The schema or null, with its description. */
export function orNull(schema: Schema): Schema {
  return { oneOf: [schema, { type: 'null' }], description: schema.description };
}

export function list(items: Schema, description: string): Schema {
  return { type: 'array', items, description };
}

/** Every property is required but for the optional ones, and there are no others. */
export function record(
  description: string,
  properties: Readonly<Record<string, Schema>>,
  optional: readonly string[] = [],
): Schema {
  const required = Object.keys(properties).filter((key) => !optional.includes(key));
  return { type: 'object', additionalProperties: false, required, properties, description };
}
