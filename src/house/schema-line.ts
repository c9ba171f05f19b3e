/** JSON Schema (draft-07) as plain data. */
export type JsonSchema = { readonly [key: string]: unknown };

/** Files of a house that a JSON Schema is there for. */
export type HouseFileKind = 'standard' | 'waivers';

/** What leads editors to the schema, in a file to start from: a comment, for whoever has it nowhere near. */
export function schemaLine(kind: HouseFileKind): string {
  return `// "$schema": "./${kind}.schema.json", // For editors; make it: trysquare schema ${kind} > ${kind}.schema.json`;
}

/** A file to start from with the path of its schema, relative to its folder; null where none lies near. */
export function withSchema(text: string, kind: HouseFileKind, path: string | null): string {
  if (path === null) return text;
  // A function, since a dollar in a path would mean something in a text.
  return text.replace(schemaLine(kind), () => `"$schema": ${JSON.stringify(path)},`);
}
