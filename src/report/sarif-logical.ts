import type { LogicalLocation } from 'sarif';
import type { PlaceReport } from './report-types.js';
import { pointerTokens } from './text-index.js';
import { visible } from './visible.js';

/** Collects `run.logicalLocations`; every method gives an index into it. */
export interface LogicalTable {
  readonly list: LogicalLocation[];
  /** What a finding is about: its joint path, or whatever else the place names. */
  place(kind: PlaceReport['kind'], path: string): number;
  /** The value at a JSON pointer; null for the whole document. */
  pointer(pointer: string): number | null;
  /** The location as a result gives it: whole, with its index (3.33.3). */
  at(index: number): LogicalLocation;
}

/**
 * Nested logical locations must lead to their parents through `run.logicalLocations` (3.33.8),
 * whose elements are unique (3.14.17): a joint path that two assets share is one element.
 */
export function logicalTable(): LogicalTable {
  const list: LogicalLocation[] = [];
  const known = new Map<string, number>();
  const find = (step: Step): number | undefined => known.get(`${step.kind} ${visible(step.path)}`);
  const add = (step: Step, parent: number | undefined): number => {
    known.set(`${step.kind} ${visible(step.path)}`, list.length);
    return (
      list.push({
        name: visible(step.name),
        fullyQualifiedName: visible(step.path),
        kind: step.kind,
        ...(parent === undefined ? {} : { parentIndex: parent }),
      }) - 1
    );
  };
  /** Climbs only as far as nothing is known, since deep chains have long paths. */
  const locate = (leaf: Step, parentOf: (step: Step) => Step | null): number => {
    const missing: Step[] = [];
    let step: Step | null = leaf;
    let index = find(leaf);
    while (step !== null && index === undefined) {
      missing.push(step);
      step = parentOf(step);
      index = step === null ? undefined : find(step);
    }
    for (const next of missing.reverse()) index = add(next, index);
    return index ?? 0;
  };
  return {
    list,
    place: (kind, path) =>
      kind === 'joint' || kind === 'node'
        ? locate(jointStep(kind, path), jointAbove)
        : locate({ kind, path, name: path }, () => null),
    pointer(pointer) {
      const tokens = pointerTokens(pointer);
      const leaf = pointerStep(tokens, tokens.length);
      return (
        leaf && locate(leaf, (step) => pointerStep(tokens, pointerTokens(step.path).length - 1))
      );
    },
    at: (index) => ({ ...list[index], index }),
  };
}

interface Step {
  readonly kind: string;
  readonly path: string;
  readonly name: string;
}

function jointStep(kind: string, path: string): Step {
  return { kind, path, name: path.slice(lastSlash(path) + 1) };
}

function jointAbove(step: Step): Step | null {
  const cut = lastSlash(step.path);
  return cut <= 0 ? null : jointStep(step.kind, step.path.slice(0, cut));
}

/** The last slash that parts two joints; one inside a name is written `\/` in a path. */
function lastSlash(path: string): number {
  let cut = path.lastIndexOf('/');
  while (cut > 0 && path[cut - 1] === '\\') cut = path.lastIndexOf('/', cut - 1);
  return cut;
}

/**
 * The first tokens of a pointer, with a kind that the standard has for JSON (3.33.7). The pointer
 * alone tells it: the lists at the top of a glTF document hold objects, those below hold numbers.
 */
function pointerStep(tokens: readonly string[], depth: number): Step | null {
  const name = tokens[depth - 1];
  if (name === undefined) return null;
  const path = tokens
    .slice(0, depth)
    .map((token) => `/${token.replaceAll('~', '~0').replaceAll('/', '~1')}`)
    .join('');
  return { kind: pointerKind(tokens, depth), path, name };
}

function pointerKind(tokens: readonly string[], depth: number): string {
  const below = tokens[depth];
  if (below !== undefined) return isIndex(below) ? 'array' : 'object';
  if (!isIndex(tokens[depth - 1] ?? '')) return 'property';
  return depth === 2 ? 'object' : 'value';
}

function isIndex(token: string): boolean {
  return /^\d+$/.test(token);
}
