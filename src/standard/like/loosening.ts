import { limitsOf, type Settings } from '../../check/settings.js';
import type { Level, Unit } from '../../kit/finding.js';
import type { Rule } from '../../kit/rule.js';
import type { FindingReport } from '../../report/report-types.js';
import { MOST_LIMIT } from '../standard-schema.js';

/** A limit that an approved rig needs. */
export interface Moved {
  readonly value: number;
  readonly unit: Unit;
  /** What was measured, and on which rig. */
  readonly measured: number;
  readonly rig: string;
}

/** A level that is milder since no limit of the rule lets an approved rig pass. */
export interface Milder {
  readonly level: Level;
  /** Rigs that need it, each once. */
  readonly rigs: readonly string[];
}

/** The level of what is found and does not make a rig unsound by default. */
const STANDING: Level = 'warning';

/**
 * What a standard has to grant so that approved rigs are sound: limits moved to the next round number past
 * what was measured, and a milder level for rules that no limit helps.
 */
export class Loosening {
  /** By rule and limit. */
  readonly limits = new Map<string, Map<string, Moved>>();
  /** By rule. */
  readonly levels = new Map<string, Milder>();
  /** How often anything was granted. */
  changes = 0;

  constructor(private readonly rules: readonly Rule[]) {}

  /** Settings with all that is granted so far. */
  applied(settings: Settings): Settings {
    const limits = new Map(settings.limits);
    for (const [id, moved] of this.limits) {
      const values = [...moved].map(([name, { value }]) => [name, value] as const);
      limits.set(id, { ...limits.get(id), ...Object.fromEntries(values) });
    }
    const levels = new Map(settings.levels);
    for (const [id, { level }] of this.levels) levels.set(id, level);
    return { ...settings, limits, levels };
  }

  /**
   * Moves the limit that a finding is past. False where it has none that can be moved.
   *
   * @param settings Those that it was found with.
   */
  moveLimit(finding: FindingReport, settings: Settings, rig: string): boolean {
    const measured = neededBy(finding);
    const rule = this.rules.find(({ id }) => id === finding.rule);
    if (rule === undefined || measured === null) return false;
    const values = limitsOf(settings, rule);
    const passed = Object.entries(rule.limits).filter(
      ([name, { unit }]) => unit === finding.unit && values[name] === finding.limit,
    );
    for (const [name, { unit }] of passed) {
      const limit = values[name] ?? 0;
      const value = justPast(measured, limit, unit);
      if (value > MOST_LIMIT) return false;
      // Of several findings past one limit, the worst is the one that it has to let pass.
      const granted = this.granted(rule.id, name, values);
      const isFarther = measured >= limit ? value > granted : value < granted;
      if (!isFarther) continue;
      this.grant(rule.id, name, { value, unit, measured, rig });
      // A standard is refused where an error begins before a warning.
      if (name === 'warn' && value > this.granted(rule.id, 'error', values))
        this.grant(rule.id, 'error', { value, unit, measured, rig });
    }
    return passed.length > 0;
  }

  private granted(rule: string, limit: string, values: Readonly<Record<string, number>>): number {
    return this.limits.get(rule)?.get(limit)?.value ?? values[limit] ?? Infinity;
  }

  /** Lets a rule give warnings alone, with its limits as they were. */
  soften(rule: string, rig: string): void {
    const rigs = new Set(this.levels.get(rule)?.rigs).add(rig);
    this.levels.set(rule, { level: STANDING, rigs: [...rigs] });
    this.limits.delete(rule);
    this.changes++;
  }

  /** Sets a limit to what a rig needs. */
  grant(rule: string, limit: string, moved: Moved): void {
    const ofRule = this.limits.get(rule) ?? new Map<string, Moved>();
    this.limits.set(rule, ofRule.set(limit, moved));
    this.changes++;
  }
}

/** The measure that the limit has to let pass. Null where it is beyond numbers. */
function neededBy({ measured, unit, places }: FindingReport): number | null {
  // A finding counts the vertices of all meshes, a limit is of one.
  const each = places.flatMap((place) => place.measured ?? []);
  return unit === 'vertices' && each.length > 0 ? Math.max(...each) : measured;
}

/** Figures of a limit that is moved: more would only look exact. */
const FIGURES = 2;

/** A share of the measure: what the next export may add by rounding. */
const MARGIN = 1e-3;

/** Nothing is turned farther. Degrees. */
const HALF_TURN = 180;

/** Units that are counted in whole numbers. */
const COUNTED: ReadonlySet<Unit> = new Set<Unit>([
  'joints',
  'nodes',
  'vertices',
  'matrices',
  'skins',
  'steps',
  'names',
]);

export function isCounted(unit: Unit): boolean {
  return COUNTED.has(unit);
}

/**
 * The round number just past a measure, on the side away from the limit that it is past: the count
 * itself for what is counted, else the next of two figures.
 */
export function justPast(measured: number, limit: number, unit: Unit): number {
  const isAbove = measured >= limit;
  if (isCounted(unit)) return isAbove ? Math.ceil(measured) : Math.floor(measured);
  if (measured === 0) return 0;
  const past = measured * (isAbove ? 1 + MARGIN : 1 - MARGIN);
  const step = 10 ** (Math.floor(Math.log10(Math.abs(measured))) + 1 - FIGURES);
  const steps = isAbove ? Math.floor(past / step) + 1 : Math.ceil(past / step) - 1;
  // The product of a step below 1 has a long tail of digits.
  const value = Number((steps * step).toPrecision(FIGURES + 1));
  return unit === 'degrees' ? Math.min(value, HALF_TURN) : value;
}
