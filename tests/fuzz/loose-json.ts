import type { Draw } from './draw.js';

/** JSON as it may stand in a broken file. */
export type Loose = { [key: string]: unknown };

export function isLoose(value: unknown): value is Loose {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** The objects in a list of `json`; an earlier mutation may have left none. */
export function objectsIn(json: unknown, key: string): Loose[] {
  return isLoose(json) ? arrayOf(json[key]).filter(isLoose) : [];
}

export function arrayOf(value: unknown): unknown[] {
  return Array.isArray(value) ? value : [];
}

/** One of a list's objects, or null when it has none. */
export function pickObject(draw: Draw, json: unknown, key: string): Loose | null {
  const objects = objectsIn(json, key);
  return objects.length === 0 ? null : draw.pick(objects);
}

/** A place in a document: the object or array, and the key or index in it. */
export interface Spot {
  readonly holder: Loose | unknown[];
  readonly key: string | number;
}

/** Every member and item, from above, by a stack: documents may be deep. */
export function spotsOf(json: unknown): Spot[] {
  const spots: Spot[] = [];
  const stack: unknown[] = [json];
  for (let value = stack.pop(); value !== undefined; value = stack.pop()) {
    const keys = Array.isArray(value)
      ? [...value.keys()]
      : isLoose(value)
        ? Object.keys(value)
        : [];
    // Only arrays and objects have keys; both are read by them.
    const holder = value as Spot['holder'];
    for (const key of keys) {
      spots.push({ holder, key });
      const inner = valueAt({ holder, key });
      if (typeof inner === 'object' && inner !== null) stack.push(inner);
    }
  }
  return spots;
}

export function valueAt({ holder, key }: Spot): unknown {
  return Array.isArray(holder) ? holder[Number(key)] : holder[key];
}

export function setAt({ holder, key }: Spot, value: unknown): void {
  if (Array.isArray(holder)) holder[Number(key)] = value;
  else holder[key] = value;
}

/** Stands for JSON text that no value gives: numbers past every double, keys told twice, deep nests. */
export const raw = (text: string): string => `@raw@${text}@end@`;

/** A key that becomes `key` in the text, beside another of the same name. */
export const again = (key: string): string => `@again@${key}`;

/** The text of a document, with what `raw` and `again` stand for. */
export function textOf(json: unknown): string {
  const text = JSON.stringify(json) ?? 'null';
  const plain = text.replace(/"@raw@(.*?)@end@"/g, (_, escaped: string) =>
    escaped.replaceAll('\\"', '"'),
  );
  return plain.replaceAll('@again@', '');
}
