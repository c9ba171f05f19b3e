import type { Rule } from '../kit/rule.js';

/** A module of the house's own, and the name that people know it by. */
export interface OwnModule {
  readonly path: string;
  readonly name: string;
}

/** Which rules of a run are the house's own. Plain data, so that a worker can be told. */
export interface OwnRules {
  readonly modules: readonly OwnModule[];
  /** Of the modules and of all files that they import, in hexadecimal. */
  readonly digest: string;
  /** The module of each of these rules, as people know it, by the rule's id; null for one that a program made. */
  readonly moduleOf: Readonly<Record<string, string | null>>;
}

/** A module that was imported. */
export interface LoadedModule {
  readonly exports: Readonly<Record<string, unknown>>;
  /** Paths of the module and of every file that it imports, in any order. */
  readonly files: readonly string[];
}

/** Imports the module at a path. Given from outside, since only what is no bundle can import. */
export type LoadModule = (path: string) => Promise<LoadedModule>;

/**
 * All that a module exports as a rule, well made or not, alone or in lists: each once, in the order of
 * the names of the exports. Whatever else it exports is its own affair.
 */
export function rulesAmong(exports: Readonly<Record<string, unknown>>): unknown[] {
  const all = Object.values(exports).flatMap((value): unknown[] =>
    Array.isArray(value) ? value : [value],
  );
  return [...new Set(all)].filter(meansToBeRule);
}

/** A function or a table of numbers has none of these. */
function meansToBeRule(value: unknown): boolean {
  return typeof value === 'object' && value !== null && ('say' in value || 'check' in value);
}

/** The rules of modules that were found to be well made before, in another thread or this one. */
export async function importRules(
  modules: readonly OwnModule[],
  load: LoadModule,
): Promise<Rule[]> {
  const all: Rule[] = [];
  for (const { path } of modules) {
    const { exports } = await load(path);
    // The command has held every one to the form of a rule before it handed out the modules.
    all.push(...(rulesAmong(exports) as Rule[]));
  }
  return all;
}
