import { AssetError } from '../../asset/errors.js';

/** The place of a container in the text, and what it held when it was read. */
interface Origin extends Span {
  readonly keys: readonly string[];
  readonly values: readonly unknown[];
  /** Numbers that JavaScript would write in another way, by key. */
  readonly spelt: ReadonlyMap<string, string> | null;
}

interface Span {
  readonly start: number;
  readonly end: number;
}

interface Open {
  readonly value: Record<string, unknown> | unknown[];
  readonly start: number;
  key: string;
  spelt: Map<string, string> | null;
}

/**
 * JSON that can be changed and written again, where all that did not change keeps its text: numbers
 * that JavaScript cannot represent (2^53 + 1, 1e400), the way others are spelt (1.0), escapes, spaces,
 * line ends. Containers are recognised by identity: a copy is a new one, unless `copied` says what it
 * was copied from. Nothing here recurses, so any depth can be read and written.
 */
export class KeptJson {
  readonly json: unknown;
  private readonly origins = new Map<object, Origin>();
  private readonly root: Span;
  private readonly newline: string;

  private constructor(
    private readonly text: string,
    scan: Scan,
  ) {
    const open: Open[] = [];
    let json: unknown;
    const put = (value: unknown, spelt: string | null = null): void => {
      const into = open.at(-1);
      if (into === undefined) {
        json = value;
        return;
      }
      if (Array.isArray(into.value)) {
        if (spelt !== null) into.key = String(into.value.length);
        into.value.push(value);
      } else if (into.key !== '__proto__') into.value[into.key] = value;
      // A key like any other in JSON.
      else
        Object.defineProperty(into.value, into.key, {
          value,
          writable: true,
          enumerable: true,
          configurable: true,
        });
      if (spelt !== null) into.spelt = (into.spelt ?? new Map()).set(into.key, spelt);
      else if (!Array.isArray(into.value)) into.spelt?.delete(into.key);
    };
    let isKey = false;
    let [start, end] = [0, 0];
    for (let token = scan(); token !== null; token = scan()) {
      const into = open.at(-1);
      const letter = text[token.start];
      switch (letter) {
        case '{':
        case '[':
          if (into === undefined) start = token.start;
          isKey = letter === '{';
          open.push({ value: isKey ? {} : [], start: token.start, key: '', spelt: null });
          break;
        case '}':
        case ']': {
          open.pop();
          end = token.end;
          if (into === undefined) break;
          const { value, spelt } = into;
          const [keys, values] = Array.isArray(value)
            ? [[], value.slice()]
            : [Object.keys(value), Object.values(value)];
          this.origins.set(value, { start: into.start, end, keys, values, spelt });
          put(value);
          break;
        }
        case ',':
          isKey = into !== undefined && !Array.isArray(into.value);
          break;
        case ':':
          isKey = false;
          break;
        case '"':
          if (isKey && into !== undefined) into.key = token.text();
          else put(token.text());
          break;
        case 't':
        case 'f':
        case 'n':
          put(JSON.parse(text.slice(token.start, token.end)));
          break;
        default: {
          const spelt = text.slice(token.start, token.end);
          const value = Number(spelt);
          put(value, JSON.stringify(value) === spelt ? null : spelt);
        }
      }
    }
    this.newline = text.includes('\r\n') ? '\r\n' : '\n';
    this.json = json;
    this.root = { start, end };
  }

  /** Reads text that is known to be JSON, and to hold an object or an array. */
  static async parse(text: string): Promise<KeptJson> {
    const { createScanner } = await import('jsonc-parser');
    const scanner = createScanner(text, true);
    return new KeptJson(text, () => {
      scanner.scan();
      const start = scanner.getTokenOffset();
      if (start >= text.length) return null;
      return { start, end: scanner.getPosition(), text: () => scanner.getTokenValue() };
    });
  }

  /** Makes a copy count as what it was copied from, and returns it. */
  copied<T extends object>(from: object, to: T): T {
    const origin = this.origins.get(from);
    if (origin !== undefined) this.origins.set(to, origin);
    return to;
  }

  /**
   * The text of a changed `json` or of a copy of it, with what surrounds it in the original. Throws
   * AssetError for a number that JSON cannot represent.
   */
  write(json: object): string {
    const { text } = this;
    const { start, end } = this.root;
    const clean = this.unchanged(json);
    const indent = indentOf(text.slice(start));
    const out = [text.slice(0, start)];
    const root = { value: json, depth: 0, isInline: indent === null, key: '', above: null };
    const open: (string | Task)[] = [root];
    for (let part = open.pop(); part !== undefined; part = open.pop()) {
      const origin = typeof part === 'string' ? undefined : this.origins.get(part.value);
      if (typeof part === 'string') out.push(part);
      else if (origin !== undefined && clean.has(part.value))
        out.push(text.slice(origin.start, origin.end));
      else for (const inner of this.parts(part, origin, indent ?? '').reverse()) open.push(inner);
    }
    return `${out.join('')}${text.slice(end)}`;
  }

  /** All containers whose content is what it was when they were read, to any depth. */
  private unchanged(root: object): Set<object> {
    const all: object[] = [];
    const open: object[] = [root];
    for (let value = open.pop(); value !== undefined; value = open.pop()) {
      all.push(value);
      for (const inner of valuesIn(value)) if (isContainer(inner)) open.push(inner);
    }
    const clean = new Set<object>();
    // An unchanged copy counts as what it was copied from: it has the same origin.
    const isSame = (value: unknown, before: unknown): boolean =>
      isContainer(value)
        ? clean.has(value) &&
          isContainer(before) &&
          this.origins.get(value) === this.origins.get(before)
        : Object.is(value, before);
    // Backwards, so that inner containers come before those that they are in.
    for (const value of all.reverse()) {
      const origin = this.origins.get(value);
      if (origin === undefined) continue;
      const values = valuesIn(value);
      const keys = Array.isArray(value) ? [] : Object.keys(value);
      if (
        values.length === origin.values.length &&
        values.every((inner, index) => isSame(inner, origin.values[index])) &&
        keys.every((key, index) => key === origin.keys[index])
      )
        clean.add(value);
    }
    return clean;
  }

  /** The text of a changed container in parts, with its inner containers as tasks. */
  private parts(task: Task, origin: Origin | undefined, indent: string): (string | Task)[] {
    const { value, depth } = task;
    const isArray = Array.isArray(value);
    // What was on one line stays on one line.
    const old = origin && this.text.slice(origin.start, origin.end);
    const isInline = task.isInline || (old !== undefined && old.length > 2 && !old.includes('\n'));
    const comma = isInline && indent !== '' && old?.includes(', ') !== false ? ', ' : ',';
    const line = (deep: number): string =>
      isInline ? '' : `${this.newline}${indent.repeat(deep)}`;
    const parts: (string | Task)[] = [];
    for (const [key, inner] of Object.entries(value)) {
      if (inner === undefined && !isArray) continue;
      parts.push(`${parts.length === 0 ? '' : comma}${line(depth + 1)}`);
      if (!isArray) parts.push(`${JSON.stringify(key)}:${indent !== '' ? ' ' : ''}`);
      if (isContainer(inner)) {
        const before = this.origins.get(inner) ?? this.formerly(origin, key, isArray);
        const wasFlat = before && !this.text.slice(before.start, before.end).includes('\n');
        const place = { key, above: task, depth: depth + 1 };
        parts.push({ value: inner, isInline: isInline || wasFlat === true, ...place });
      } else parts.push(scalar(inner, origin, key, task));
    }
    const [first, last] = isArray ? ['[', ']'] : ['{', '}'];
    return [first, ...parts, ...(parts.length === 0 ? [] : [line(depth)]), last];
  }

  /** The origin of what a container held by this key; an empty one shows nothing of line breaks. */
  private formerly(origin: Origin | undefined, key: string, isArray: boolean): Origin | undefined {
    const value = origin?.values[isArray ? Number(key) : origin.keys.indexOf(key)];
    const found = isContainer(value) ? this.origins.get(value) : undefined;
    return found?.values.length === 0 ? undefined : found;
  }
}

type Scan = () => (Span & { text(): string }) | null;

interface Task {
  readonly value: object;
  readonly key: string;
  readonly above: Task | null;
  readonly depth: number;
  readonly isInline: boolean;
}

function scalar(value: unknown, origin: Origin | undefined, key: string, task: Task): string {
  if (typeof value !== 'number') return JSON.stringify(value ?? null);
  const spelt = origin?.spelt?.get(key);
  if (spelt !== undefined && Object.is(Number(spelt), value)) return spelt;
  if (Number.isFinite(value)) return JSON.stringify(value);
  // A JSON pointer (RFC 6901); the key of the top is empty.
  const keys = [key];
  for (let above: Task | null = task; above !== null; above = above.above) keys.push(above.key);
  const escaped = keys.reverse().map((part) => part.replace(/~/g, '~0').replace(/\//g, '~1'));
  throw new AssetError('a number is too large to be written', escaped.join('/'));
}

function isContainer(value: unknown): value is object {
  return typeof value === 'object' && value !== null;
}

function valuesIn(value: object): readonly unknown[] {
  return Array.isArray(value) ? value : Object.values(value);
}

/** What a text is indented by; null where it is on one line. */
function indentOf(text: string): string | null {
  return /^[{[]\r?\n([ \t]*)/.exec(text)?.[1] ?? null;
}
