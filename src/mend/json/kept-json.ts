import { AssetError } from '../../asset/errors.js';

/** Where a container stands in the text, and what it held there. */
interface Origin {
  readonly start: number;
  readonly end: number;
  readonly keys: readonly string[];
  readonly values: readonly unknown[];
  /** Numbers that JavaScript would write in another way, by key. */
  readonly spelt: ReadonlyMap<string, string> | null;
}

interface Open {
  readonly value: Record<string, unknown> | unknown[];
  readonly start: number;
  key: string;
  spelt: Map<string, string> | null;
}

/**
 * JSON that can be changed and written again, where all that did not change keeps its text: numbers
 * that JavaScript cannot hold (2^53 + 1, 1e400), the way others are spelt (1.0), escapes, spaces,
 * line ends. What is what is told by identity: a container that was copied is a new one, unless
 * `copied` says whose copy it is. Nothing here recurses, so that no depth is too deep.
 */
export class KeptJson {
  readonly json: unknown;
  private readonly origins = new Map<object, Origin>();
  private readonly start: number;
  private readonly end: number;
  private readonly newline: string;

  private constructor(
    private readonly text: string,
    scan: Scan,
  ) {
    const open: Open[] = [];
    let root: unknown;
    const put = (value: unknown, spelt: string | null): void => {
      const into = open.at(-1);
      if (into === undefined) {
        root = value;
        return;
      }
      const isArray = Array.isArray(into.value);
      const key = isArray && spelt === null ? '' : isArray ? String(into.value.length) : into.key;
      if (Array.isArray(into.value)) into.value.push(value);
      else if (key !== '__proto__') into.value[key] = value;
      // A key like any other in JSON.
      else
        Object.defineProperty(into.value, key, {
          value,
          writable: true,
          enumerable: true,
          configurable: true,
        });
      if (spelt === null) into.spelt?.delete(key);
      else {
        into.spelt ??= new Map();
        into.spelt.set(key, spelt);
      }
    };
    let isKey = false;
    let start = 0;
    let end = 0;
    for (let token = scan(); token !== null; token = scan()) {
      const into = open.at(-1);
      switch (text[token.start]) {
        case '{':
        case '[': {
          const isArray = text[token.start] === '[';
          if (into === undefined) start = token.start;
          open.push({ value: isArray ? [] : {}, start: token.start, key: '', spelt: null });
          isKey = !isArray;
          break;
        }
        case '}':
        case ']': {
          open.pop();
          end = token.end;
          if (into === undefined) break;
          this.origins.set(into.value, {
            start: into.start,
            end: token.end,
            keys: Array.isArray(into.value) ? [] : Object.keys(into.value),
            values: Array.isArray(into.value) ? into.value.slice() : Object.values(into.value),
            spelt: into.spelt,
          });
          put(into.value, null);
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
          else put(token.text(), null);
          break;
        case 't':
        case 'f':
          put(text[token.start] === 't', null);
          break;
        case 'n':
          put(null, null);
          break;
        default: {
          const spelt = text.slice(token.start, token.end);
          const value = Number(spelt);
          put(value, JSON.stringify(value) === spelt ? null : spelt);
        }
      }
    }
    this.newline = text.includes('\r\n') ? '\r\n' : '\n';
    this.json = root;
    this.start = start;
    this.end = end;
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

  /** Makes a copy count as what it was copied from, and gives it. */
  copied<T extends object>(from: object, to: T): T {
    const origin = this.origins.get(from);
    if (origin !== undefined) this.origins.set(to, origin);
    return to;
  }

  /**
   * The text of a changed `json` or of a copy of it. What stands around it in the original goes along.
   * Throws AssetError for a number that is none, which JSON cannot hold.
   */
  write(json: object): string {
    const clean = this.unchanged(json);
    const [before, after] = [this.text.slice(0, this.start), this.text.slice(this.end)];
    const indent = indentOf(this.text.slice(this.start));
    const out: string[] = [];
    const open: (string | Task)[] = [{ value: json, depth: 0, inline: indent === null, at: null }];
    for (let item = open.pop(); item !== undefined; item = open.pop()) {
      if (typeof item === 'string') {
        out.push(item);
        continue;
      }
      const origin = this.origins.get(item.value);
      if (origin !== undefined && clean.has(item.value))
        out.push(this.text.slice(origin.start, origin.end));
      else for (const part of this.parts(item, origin, indent ?? '').reverse()) open.push(part);
    }
    return `${before}${out.join('')}${after}`;
  }

  /** All containers that hold what they held when they were read, to any depth. */
  private unchanged(root: object): Set<object> {
    const all: object[] = [];
    const open: object[] = [root];
    for (let value = open.pop(); value !== undefined; value = open.pop()) {
      all.push(value);
      const items: readonly unknown[] = Array.isArray(value) ? value : Object.values(value);
      for (const inner of items) if (isContainer(inner)) open.push(inner);
    }
    const clean = new Set<object>();
    // Backwards, what is within comes before what it is in.
    for (let at = all.length - 1; at >= 0; at--) {
      const value = all[at];
      const origin = value === undefined ? undefined : this.origins.get(value);
      if (value === undefined || origin === undefined) continue;
      const keys = Array.isArray(value) ? null : Object.keys(value);
      const items: readonly unknown[] = Array.isArray(value) ? value : Object.values(value);
      if (
        items.length === origin.values.length &&
        items.every((inner, index) => this.isSame(inner, origin.values[index], clean)) &&
        keys?.every((key, index) => key === origin.keys[index]) !== false
      )
        clean.add(value);
    }
    return clean;
  }

  private isSame(value: unknown, before: unknown, clean: ReadonlySet<object>): boolean {
    if (!isContainer(value)) return Object.is(value, before);
    // A copy stands for what it was copied from, as long as it holds the same.
    return clean.has(value) && (value === before || this.isCopy(value, before));
  }

  private isCopy(value: object, of: unknown): boolean {
    return isContainer(of) && this.origins.get(value) === this.origins.get(of);
  }

  /** What a changed container is written as, its inner containers still to be written. */
  private parts(task: Task, origin: Origin | undefined, indent: string): (string | Task)[] {
    const { value, depth } = task;
    const isArray = Array.isArray(value);
    // What stood on one line goes on doing so.
    const own = origin === undefined ? null : this.text.slice(origin.start, origin.end);
    const inline = task.inline || (own !== null && own.length > 2 && !own.includes('\n'));
    const comma = inline && indent !== '' && own?.includes(', ') !== false ? ', ' : ',';
    const line = (deep: number): string => (inline ? '' : `${this.newline}${indent.repeat(deep)}`);
    const parts: (string | Task)[] = [];
    for (const [key, inner] of Object.entries(value)) {
      if (inner === undefined && !isArray) continue;
      parts.push(`${parts.length === 0 ? '' : comma}${line(depth + 1)}`);
      if (!isArray) parts.push(`${JSON.stringify(key)}:${indent !== '' ? ' ' : ''}`);
      const place = { key, above: task };
      if (!isContainer(inner)) {
        parts.push(scalar(inner, origin, place));
        continue;
      }
      const flat =
        inline || this.wasFlat(this.origins.get(inner) ?? this.formerly(origin, key, isArray));
      parts.push({ value: inner, depth: depth + 1, inline: flat, at: place });
    }
    const [first, last] = isArray ? ['[', ']'] : ['{', '}'];
    return [first, ...parts, ...(parts.length === 0 ? [] : [line(depth)]), last];
  }

  private wasFlat(origin: Origin | undefined): boolean {
    return origin !== undefined && !this.text.slice(origin.start, origin.end).includes('\n');
  }

  /** The origin of what a container held by this key; an empty one tells nothing of lines. */
  private formerly(origin: Origin | undefined, key: string, isArray: boolean): Origin | undefined {
    const at = isArray ? Number(key) : (origin?.keys.indexOf(key) ?? -1);
    const value = origin?.values[at];
    const found = isContainer(value) ? this.origins.get(value) : undefined;
    return found?.values.length === 0 ? undefined : found;
  }
}

type Scan = () => { start: number; end: number; text(): string } | null;

interface Task {
  readonly value: object;
  readonly depth: number;
  readonly inline: boolean;
  readonly at: Place | null;
}

interface Place {
  readonly key: string;
  readonly above: Task;
}

function scalar(value: unknown, origin: Origin | undefined, place: Place): string {
  if (typeof value !== 'number') return JSON.stringify(value ?? null);
  const spelt = origin?.spelt?.get(place.key);
  if (spelt !== undefined && Object.is(Number(spelt), value)) return spelt;
  if (!Number.isFinite(value))
    throw new AssetError('a number is too large to be written', pointerOf(place));
  return JSON.stringify(value);
}

/** RFC 6901. */
function pointerOf(place: Place): string {
  const keys: string[] = [];
  for (let at: Place | null = place; at !== null; at = at.above.at)
    keys.push(at.key.replace(/~/g, '~0').replace(/\//g, '~1'));
  return `/${keys.reverse().join('/')}`;
}

function isContainer(value: unknown): value is object {
  return typeof value === 'object' && value !== null;
}

/** What a text is indented by; null where it stands on one line. */
function indentOf(text: string): string | null {
  const lines = /^[{[](\r?\n)/.test(text);
  return lines ? (/^[{[]\r?\n([ \t]*)/.exec(text)?.[1] ?? '') : null;
}
