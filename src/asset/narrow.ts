import { AssetError } from './errors.js';

/** A JSON object whose values nobody has looked at yet. */
export type JsonObject = Readonly<Record<string, unknown>>;

/**
 * Reads one value of the document and says where it is. Each method narrows `unknown`, and
 * throws AssetError with the value's JSON pointer (RFC 6901) when it is of another kind.
 */
export class Cursor {
  constructor(
    readonly value: unknown,
    private readonly parent: Cursor | null = null,
    private readonly key: string | number = '',
  ) {}

  /** The member `key` of this object. */
  at(key: string): Cursor {
    return new Cursor(this.object()[key], this, key);
  }

  /** JSON pointer of the value, made only for an error. */
  get pointer(): string {
    if (this.parent === null) return '';
    const key = String(this.key).replace(/~/g, '~0').replace(/\//g, '~1');
    return `${this.parent.pointer}/${key}`;
  }

  get missing(): boolean {
    return this.value === undefined;
  }

  fail(cause: string): never {
    throw new AssetError(cause, this.pointer === '' ? 'the top of the JSON' : this.pointer);
  }

  object(): JsonObject {
    const value = this.value;
    if (typeof value !== 'object' || value === null || Array.isArray(value))
      return this.fail(`expected an object, found ${kindOf(value)}`);
    // A JSON object's members are read as unknown, which any object satisfies.
    return value as JsonObject;
  }

  private items(): readonly unknown[] {
    if (this.missing) return [];
    if (!Array.isArray(this.value))
      return this.fail(`expected an array, found ${kindOf(this.value)}`);
    return this.value;
  }

  /** Runs `read` over the items of an array; a missing array is an empty one. */
  list<T>(read: (item: Cursor, index: number) => T): T[] {
    return this.items().map((item, index) => read(new Cursor(item, this, index), index));
  }

  /** Items of an array; a missing array has none. */
  get length(): number {
    return this.items().length;
  }

  text(): string {
    if (typeof this.value !== 'string')
      return this.fail(`expected text, found ${kindOf(this.value)}`);
    return this.value;
  }

  private integer(expected: string, what: string): number {
    if (typeof this.value === 'number' && Number.isInteger(this.value)) return this.value;
    return this.fail(`expected ${expected} ${what}, found ${kindOf(this.value)}`);
  }

  /** A whole number from `least` to below `below`. */
  whole(least = 0, below = Number.MAX_SAFE_INTEGER, what = String(this.key)): number {
    const value = this.integer('a whole number for', what);
    if (value < least || value >= below)
      return this.fail(`${what} is ${value}, outside ${least} to ${below - 1}`);
    return value;
  }

  /** An index into a list of `length` things. */
  index(what: string, length: number): number {
    const value = this.integer('an index of a', what);
    if (value < 0 || value >= length)
      return this.fail(`there is no ${what} ${value}: the file has ${length}`);
    return value;
  }

  /** The same, or null where there is none. */
  indexOrNull(what: string, length: number): number | null {
    return this.missing ? null : this.index(what, length);
  }

  /** Exactly `length` finite numbers. */
  numbers(length: number): number[] {
    if (!Array.isArray(this.value) || this.value.length !== length) {
      const found = Array.isArray(this.value)
        ? `an array of ${this.value.length}`
        : kindOf(this.value);
      return this.fail(`expected ${length} numbers, found ${found}`);
    }
    return this.value.map((item: unknown, index) => {
      if (typeof item === 'number' && Number.isFinite(item)) return item;
      const where = `${this.pointer}/${index}`;
      throw new AssetError(`expected a finite number, found ${kindOf(item)}`, where);
    });
  }

  /** One of the given words or numbers. */
  oneOf<T extends string | number>(allowed: readonly T[]): T {
    const found = allowed.find((each) => each === this.value);
    if (found === undefined)
      return this.fail(`${this.key} is ${kindOf(this.value)}, not one of ${allowed.join(', ')}`);
    return found;
  }

  /** `read` of this value, or `fallback` where there is none. */
  or<T>(fallback: T, read: (cursor: this) => T): T {
    return this.missing ? fallback : read(this);
  }
}

/**
 * The member `key` of a value that may be anything; undefined where it has none of its own. For what
 * may be broken while the asset is not.
 */
export function memberOf(value: unknown, key: string): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return undefined;
  // A JSON object's members are read as unknown, which any object satisfies.
  return Object.hasOwn(value, key) ? (value as JsonObject)[key] : undefined;
}

function kindOf(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (value === null) return 'null';
  if (Array.isArray(value)) return 'an array';
  if (typeof value === 'string') return `the text ${JSON.stringify(value.slice(0, 40))}`;
  if (typeof value === 'object') return 'an object';
  return String(value);
}
