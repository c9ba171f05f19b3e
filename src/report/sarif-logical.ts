import type { LogicalLocation } from 'sarif';
import { pointerSegments } from '../house/house-file.js';
import type { PlaceReport } from './report-types.js';
import { visible } from './visible.js';

interface Step {
  readonly kind: string;
  readonly path: string;
  readonly name: string;
}

/**
 * Collects `run.logicalLocations`. Nested locations must lead to their parents through it (3.33.8),
 * and its elements are unique (3.14.17): a joint path that two assets share is one element. Every
 * method gives a location as a result needs it: whole, with its index (3.33.3).
 */
export class LogicalTable {
  readonly list: LogicalLocation[] = [];
  readonly #indices = new Map<string, number>();

  /** What a finding is about: its joint path, or whatever else the place names. */
  place(kind: PlaceReport['kind'], path: string): LogicalLocation {
    return kind === 'joint' || kind === 'node'
      ? this.#locate(jointStep(kind, path), jointAbove)
      : this.#locate({ kind, path, name: path }, () => null);
  }

  /** The value at a JSON pointer; null for the whole document. */
  pointer(pointer: string): LogicalLocation | null {
    const keys = pointerSegments(pointer);
    const leaf = pointerStep(keys, keys.length);
    const parentOf = ({ path }: Step): Step | null =>
      pointerStep(keys, pointerSegments(path).length - 1);
    return leaf && this.#locate(leaf, parentOf);
  }

  /** Climbs only as far as nothing is known, since deep chains have long paths. */
  #locate(leaf: Step, parentOf: (step: Step) => Step | null): LogicalLocation {
    const missing: Step[] = [];
    let index: number | undefined;
    for (let step: Step | null = leaf; step !== null; step = parentOf(step)) {
      index = this.#indices.get(keyOf(step));
      if (index !== undefined) break;
      missing.push(step);
    }
    for (const step of missing.reverse()) {
      const [name, fullyQualifiedName] = [visible(step.name), visible(step.path)];
      const parent = index === undefined ? {} : { parentIndex: index };
      index = this.list.push({ name, fullyQualifiedName, kind: step.kind, ...parent }) - 1;
      this.#indices.set(keyOf(step), index);
    }
    return { ...this.list[index ?? 0], index: index ?? 0 };
  }
}

function keyOf({ kind, path }: Step): string {
  return `${kind} ${visible(path)}`;
}

function jointStep(kind: string, path: string): Step {
  return { kind, path, name: path.slice(lastSlash(path) + 1) };
}

function jointAbove({ kind, path }: Step): Step | null {
  const cut = lastSlash(path);
  return cut <= 0 ? null : jointStep(kind, path.slice(0, cut));
}

/** The last slash that parts two joints; one inside a name is written `\/` in a path. */
function lastSlash(path: string): number {
  let cut = path.lastIndexOf('/');
  while (cut > 0 && path[cut - 1] === '\\') cut = path.lastIndexOf('/', cut - 1);
  return cut;
}

/** The first keys of a pointer. */
function pointerStep(keys: readonly string[], depth: number): Step | null {
  const name = keys[depth - 1];
  if (name === undefined) return null;
  const path = keys
    .slice(0, depth)
    .map((key) => `/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`);
  return { kind: pointerKind(name, keys[depth], depth), path: path.join(''), name };
}

/**
 * A kind that the standard has for JSON (3.33.7). The pointer alone decides it: the lists at the top of
 * a glTF document hold objects, those below hold numbers.
 */
function pointerKind(name: string, below: string | undefined, depth: number): string {
  if (below !== undefined) return isIndex(below) ? 'array' : 'object';
  if (!isIndex(name)) return 'property';
  return depth === 2 ? 'object' : 'value';
}

function isIndex(key: string): boolean {
  return /^\d+$/.test(key);
}
