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
    const isTree = kind === 'joint' || kind === 'node';
    return this.#locate(isTree ? jointSteps(kind, path) : [{ kind, path, name: path }]);
  }

  /** The value at a JSON pointer; null for the whole document. */
  pointer(pointer: string): LogicalLocation | null {
    return pointer.includes('/') ? this.#locate(pointerSteps(pointer)) : null;
  }

  /** Takes the steps from the leaf up, until one is listed: deep chains have long paths. */
  #locate(steps: Iterable<Step>): LogicalLocation {
    const missing: Step[] = [];
    let index: number | undefined;
    for (const step of steps) {
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

function* jointSteps(kind: string, path: string): Generator<Step> {
  let cut = path.length;
  do {
    const joint = path.slice(0, cut);
    cut = lastSlash(joint);
    yield { kind, path: joint, name: joint.slice(cut + 1) };
  } while (cut > 0);
}

/** The last slash that parts two joints; one inside a name is written `\/` in a path. */
function lastSlash(path: string): number {
  let cut = path.lastIndexOf('/');
  while (cut > 0 && path[cut - 1] === '\\') cut = path.lastIndexOf('/', cut - 1);
  return cut;
}

function* pointerSteps(pointer: string): Generator<Step> {
  const keys = pointerSegments(pointer);
  const parts = keys.map((key) => `/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`);
  for (const [above, name] of [...keys.entries()].reverse()) {
    const path = parts.slice(0, above + 1).join('');
    yield { kind: pointerKind(name, keys[above + 1], above), path, name };
  }
}

/**
 * A kind that the standard has for JSON (3.33.7). The pointer alone decides it: the lists at the top
 * of a glTF document have objects in them, those below have numbers.
 */
function pointerKind(name: string, below: string | undefined, above: number): string {
  const isIndex = (key: string): boolean => /^\d+$/.test(key);
  if (below !== undefined) return isIndex(below) ? 'array' : 'object';
  if (!isIndex(name)) return 'property';
  return above === 1 ? 'object' : 'value';
}
