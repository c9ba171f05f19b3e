import type { Schema } from './schema-parts.js';

/** Gives back a value of a schema with the schema's keys in the schema's order, and no others. */
export type Order = (value: unknown) => unknown;

const asItIs: Order = (value) => value;

/** Takes a schema that is put together from `schema-parts.ts`; what does not fit it is left as it is. */
export function orderOf({ properties, items, oneOf }: Schema): Order {
  if (oneOf !== undefined) return orderOfKind(oneOf);
  if (items !== undefined) {
    const order = orderOf(items);
    if (order === asItIs) return asItIs;
    return (value) => (Array.isArray(value) ? value.map(order) : value);
  }
  if (properties === undefined) return asItIs;
  const keys = Object.entries(properties).map(([key, schema]) => [key, orderOf(schema)] as const);
  return (value) => {
    if (!isRecord(value)) return value;
    const made: Record<string, unknown> = {};
    for (const [key, order] of keys) if (value[key] !== undefined) made[key] = order(value[key]);
    return made;
  };
}

/** Kinds are told apart by their constants; null is a kind of its own. */
function orderOfKind(kinds: readonly Schema[]): Order {
  const each = kinds.map((schema) => {
    const fixed = Object.entries(schema.properties ?? {}).filter(
      ([, { const: is }]) => is !== undefined,
    );
    return { fixed, order: orderOf(schema) };
  });
  return (value) => {
    const fits = ({ fixed }: (typeof each)[number]): boolean =>
      fixed.every(([key, { const: is }]) => isRecord(value) && value[key] === is);
    return value === null ? null : (each.find(fits)?.order ?? asItIs)(value);
  };
}

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null;
}
