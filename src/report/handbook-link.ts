/** Where the handbook has an entry of a rule: an address with its fragment; null where it has none. */
export type HandbookLink = (rule: string) => string | null;

/** The address of a rule's entry in a handbook at an address. */
export function entryAddress(handbook: string, rule: string): string {
  return `${handbook}#${encodeURIComponent(rule)}`;
}
