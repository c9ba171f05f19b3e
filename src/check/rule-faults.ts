import { AssetError } from '../asset/errors.js';
import { type NotApplicable, notApplicable } from '../kit/finding.js';
import type { Rule, Said } from '../kit/rule.js';
import type { FailedRuleReport } from '../report/report-types.js';
import type { Rig } from '../rig/types.js';
import { refuseOutcome, refusePromise } from './own-outcome.js';
import type { OwnRules } from './own-rules.js';
import type { Settings } from './settings.js';
import { thrownWords } from './thrown-words.js';

/** Letters of what a rule says: a page and more. A report has room for thousands of findings like it. */
const LONGEST_SAID = 10_000;

/**
 * Rules of the house's own that failed on one asset. They are code of other people: one that throws, or
 * answers what no report has room for, must not take the findings of the others with it.
 */
export class RuleFaults {
  readonly list: FailedRuleReport[] = [];
  /** The rig that is judged; null for the asset as a whole. */
  rig: Rig | null = null;
  /** The rule that is at work. It stays when work is ended from outside, which runs no `finally`. */
  private running: string | null = null;

  private readonly moduleOf: OwnRules['moduleOf'];

  constructor(own: OwnRules | undefined) {
    this.moduleOf = own?.moduleOf ?? {};
  }

  /** Whether a rule failed on a rig, or on the asset as a whole. */
  has(rule: string, rig: number | null): boolean {
    return this.list.some((fault) => fault.rule === rule && fault.rig === rig);
  }

  /** What a rule gives, or `instead` where it throws; then that is noted, once a rule and rig. */
  guard<T>(rule: string, work: () => T, instead: T): T {
    this.running = rule;
    try {
      return work();
    } catch (error) {
      const rig = this.rig?.index ?? null;
      const reason = thrownWords(error);
      if (!this.has(rule, rig))
        this.list.push({ rule, rig, module: this.moduleOf[rule] ?? null, reason });
      return instead;
    } finally {
      this.running = null;
    }
  }

  /** What ended the work on an asset, with the rule that was at work then. */
  blamed(error: unknown): unknown {
    const { running } = this;
    if (running === null || !(error instanceof AssetError)) return error;
    const module = this.moduleOf[running];
    const from = module == null ? '' : ` of ${module}`;
    return new AssetError(`the rule ${running}${from} did not come to an end: ${error.reason}`);
  }
}

/** The same settings, with every rule of the house's own guarded. */
export function guarded(settings: Settings, faults: RuleFaults): Settings {
  const { own, rules } = settings;
  if (own === undefined) return settings;
  return {
    ...settings,
    rules: rules.map((rule) => (Object.hasOwn(own.moduleOf, rule.id) ? guard(rule, faults) : rule)),
  };
}

const NOTHING: NotApplicable = notApplicable('the rule failed');
const SILENCE: Said = { message: '', remedy: '' };

function guard(rule: Rule, faults: RuleFaults): Rule {
  const { id } = rule;
  return {
    ...rule,
    check: (facts, limits, limitOf) =>
      faults.guard(
        id,
        () => refuseOutcome(rule.check(facts, knownLimits(limits), limitOf), facts.rig, 'check'),
        NOTHING,
      ),
    checkAsset: (model, limits, approved, wanted) =>
      faults.guard(
        id,
        () =>
          refuseOutcome(
            rule.checkAsset(model, knownLimits(limits), approved, wanted),
            null,
            'check',
          ),
        NOTHING,
      ),
    gather: (facts, findings) =>
      faults.guard(id, () => {
        const gathered = rule.gather(facts, findings);
        refusePromise(gathered, 'gather');
        const joined = gathered.map(({ finding }) => finding);
        const all = { kind: 'judged', things: 'joints', looked: 0, short: 0, findings: joined };
        refuseOutcome(all, facts.rig, 'gather');
        return gathered;
      }, []),
    say: (finding, words) =>
      faults.guard(
        id,
        () => {
          const said = rule.say(finding, words);
          refusePromise(said, 'say');
          const { message, remedy } = said;
          if (typeof message !== 'string' || typeof remedy !== 'string')
            throw new Error('its say must give a message and a remedy, both text');
          refuseLong(message, 'its say gives a message');
          refuseLong(remedy, 'its say gives a remedy');
          return { message, remedy };
        },
        SILENCE,
      ),
    consequence: (finding, words) =>
      faults.guard(
        id,
        () => {
          const text = rule.consequence(finding, words);
          refusePromise(text, 'consequence');
          if (text !== null && typeof text !== 'string')
            throw new Error('its consequence must give text');
          refuseLong(text ?? '', 'its consequence gives text');
          return text;
        },
        null,
      ),
  };
}

function refuseLong(text: string, what: string): void {
  if (text.length > LONGEST_SAID)
    throw new Error(`${what} of ${text.length} letters (limit ${LONGEST_SAID}); say less`);
}

/** What JavaScript itself looks for in any object. */
const ASKED_OF_ALL: readonly string[] = ['toJSON', 'then'];

/** Limits that refuse a name they do not have: nothing is past `undefined`, and all would pass. */
function knownLimits<T extends object>(limits: T): T {
  return new Proxy(limits, {
    get(target, key) {
      if (typeof key === 'string' && !(key in target) && !ASKED_OF_ALL.includes(key))
        throw new Error(`it reads the limit "${key}", but ${limitsWords(Object.keys(target))}`);
      return Reflect.get(target, key);
    },
  });
}

function limitsWords(names: readonly string[]): string {
  if (names.length === 0) return 'it has no limits';
  return `it has only ${names.map((name) => `"${name}"`).join(', ')}`;
}
