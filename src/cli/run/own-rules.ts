import { readFileSync, statSync } from 'node:fs';
import { extname, isAbsolute, resolve } from 'node:path';
import { families, rules } from '../../../rules/index.js';
import { sha256 } from '../../asset/crypto.js';
import { UsageError } from '../../asset/errors.js';
import {
  type LoadedModule,
  type OwnModule,
  type OwnRules,
  rulesAmong,
} from '../../check/own-rules.js';
import { thrownWords } from '../../check/thrown-words.js';
import type { Rule } from '../../kit/rule.js';
import { visible } from '../../report/visible.js';
import { type Io, importAlone } from '../io.js';

/** The option that names modules with rules of the house's own. */
export interface OwnFlags {
  readonly with?: readonly string[];
  /** Seconds. */
  readonly timeLimit?: number;
}

/** Every rule that a run knows: those of trysquare, then the house's own. */
export interface KnownRules {
  readonly rules: readonly Rule[];
  readonly families: readonly string[];
  /** Absent where there are none of the house's own. */
  readonly own?: OwnRules;
}

const NONE: KnownRules = { rules, families };

/** Seconds that a module may take to load. */
const LOAD_SECONDS = 10;

const ENDINGS = ['.mjs', '.js'];

/**
 * The rules that `--with` adds. Nothing else ever names a module: a standard, a ledger and an asset are
 * data, and may come from anybody. Throws UsageError, one line, for a module that is of no use.
 */
export async function knownRules(
  { with: named = [], timeLimit }: OwnFlags,
  io: Io,
): Promise<KnownRules> {
  if (named.length === 0) return NONE;
  const seconds = Math.min(timeLimit ?? LOAD_SECONDS, LOAD_SECONDS);
  const { whyNoRule } = await import('./own-rule-shape.js');
  const modules = named.map((name) => moduleAt(name, io.cwd));
  const known = new Map(rules.map((rule) => [rule.id, 'trysquare']));
  const own: Rule[] = [];
  const files = new Set<string>();
  for (const { path, name } of unique(modules)) {
    const shown = visible(name);
    const loaded = await load(path, shown, seconds, io);
    for (const file of loaded.files) files.add(file);
    const found = rulesAmong(loaded.exports);
    if (found.length === 0)
      throw new UsageError(
        `${shown} exports no rule; export each rule that you made with rule(...) or assetRule(...) of trysquare`,
      );
    for (const value of found) {
      // `rulesAmong` gives objects alone.
      const rule = value as Rule;
      const why = whyNoRule(value as Readonly<Record<string, unknown>>);
      const id = typeof rule.id === 'string' ? ` "${visible(rule.id)}"` : '';
      if (why !== null)
        throw new UsageError(`${shown} has a rule${id} that is wrong: ${visible(why)}`);
      refuseTaken(rule, known.get(rule.id), shown);
      known.set(rule.id, name);
      own.push(rule);
    }
  }
  const moduleOf = Object.fromEntries(own.map(({ id }) => [id, known.get(id) ?? '']));
  return {
    rules: [...rules, ...own],
    families: [...new Set([...families, ...own.map(({ family }) => family)])],
    own: { modules: unique(modules), digest: digestOf([...files]), moduleOf },
  };
}

/** Throws UsageError for an id that is there already, or lies in a family that is not the house's. */
function refuseTaken({ id, family }: Rule, owner: string | undefined, shown: string): void {
  if (owner !== undefined)
    throw new UsageError(
      `${shown} has a rule "${id}", and ${visible(owner)} has one of that name already; give it another name`,
    );
  if (families.includes(family))
    throw new UsageError(
      `${shown} has a rule "${id}", but the family ${family} is of trysquare; name a family of your own, such as prop.${id.slice(family.length + 1)}`,
    );
}

/** The module that a name on the command line stands for. */
function moduleAt(name: string, cwd: string): OwnModule {
  const shown = visible(name);
  const path = resolve(cwd, name);
  const stats = statSync(path, { throwIfNoEntry: false });
  // A bare name is never looked up among installed packages: it would take code from who knows where.
  if (stats === undefined && !/^\.{1,2}[\\/]/.test(name) && !isAbsolute(name))
    throw new UsageError(
      `--with ${shown}: there is no such file; name a file, and begin its path with ./`,
    );
  if (stats === undefined) throw new UsageError(`--with ${shown}: there is no such file`);
  if (!stats.isFile())
    throw new UsageError(`--with ${shown}: this is no file; name a module in it`);
  if (!ENDINGS.includes(extname(path)))
    throw new UsageError(
      `--with ${shown}: a module of rules is an ES module, a file that ends in ${ENDINGS.join(' or ')}`,
    );
  return { path, name };
}

function unique(modules: readonly OwnModule[]): OwnModule[] {
  const paths = modules.map(({ path }) => path);
  return modules.filter(({ path }, at) => paths.indexOf(path) === at);
}

async function load(path: string, shown: string, seconds: number, io: Io): Promise<LoadedModule> {
  let loaded: LoadedModule;
  try {
    loaded = await (io.loadModule ?? importAlone)(path, seconds);
  } catch (error) {
    if (error instanceof UsageError) throw error;
    throw new UsageError(`${shown} cannot be loaded: ${visible(thrownWords(error))}`);
  }
  return loaded;
}

/** A digest of the content of files, whatever they are called; that of a file that is gone is empty. */
function digestOf(files: readonly string[]): string {
  const digests = files.map((file) => {
    const hash = sha256();
    try {
      hash.update(readFileSync(file));
    } catch {
      hash.update(`gone ${file}`);
    }
    return hash.digest('hex');
  });
  return sha256().update(digests.sort().join('\n')).digest('hex').slice(0, 32);
}
