/** A JSON Schema, or a part of one. */
export interface Schema {
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly items?: Schema;
  readonly oneOf?: readonly Schema[];
  readonly const?: string | number;
  readonly [keyword: string]: unknown;
}

/** A string. */
export const text = (description: string): Schema => ({ type: 'string', description });
/** A string or null. */
export const textOrNull = (description: string): Schema => ({
  type: ['string', 'null'],
  description,
});
/** True or false. */
export const flag = (description: string): Schema => ({ type: 'boolean', description });
/** A whole number from 0. */
export const count = (description: string): Schema => ({
  type: 'integer',
  minimum: 0,
  description,
});
/** A whole number from 0, or null. */
export const indexOrNull = (description: string): Schema => ({
  type: ['integer', 'null'],
  minimum: 0,
  description,
});
/** JSON has no NaN and no infinity: such a number is null. */
export const number = (description: string): Schema => ({ type: ['number', 'null'], description });
/** One of these values. */
export const oneOf = (values: readonly (string | null)[], description: string): Schema => ({
  enum: values,
  description,
});
/** An array. */
export const list = (items: Schema, description: string): Schema => ({
  type: 'array',
  items,
  description,
});
/** Three numbers; see `number`. */
export const point = (description: string): Schema => ({
  type: 'array',
  items: { type: ['number', 'null'] },
  minItems: 3,
  maxItems: 3,
  description,
});
/** Every property is required but for the optional ones, and there are no others. */
export const record = (
  description: string,
  properties: Readonly<Record<string, Schema>>,
  optional: readonly string[] = [],
): Schema => ({
  type: 'object',
  additionalProperties: false,
  required: Object.keys(properties).filter((key) => !optional.includes(key)),
  properties,
  description,
});
/** The schema or null, with its description. */
export const orNull = (schema: Schema): Schema => ({
  oneOf: [schema, { type: 'null' }],
  description: schema.description,
});
/** Always this value. */
export const constant = (value: string | number, description: string): Schema => ({
  const: value,
  description,
});
/** Exactly one of these schemas. */
export const either = (schemas: readonly Schema[], description: string): Schema => ({
  oneOf: schemas,
  description,
});
