import type { Facts, WantedOfRig } from '../measure/facts.js';
import type { ApprovedAsset, RigModel } from '../rig/types.js';
import {
  type Finding,
  type Judged,
  LEVELS,
  type Level,
  type NotApplicable,
  notApplicable,
  type Unit,
} from './finding.js';
import { familyOf } from './mending-order.js';
import type { Words } from './words.js';

/** One number that a standard may change. */
export interface LimitSpec {
  readonly default: number;
  readonly unit: Unit;
  /** What is compared with it, as a clause: `bone against aim axis: a warning from here`. */
  readonly tells: string;
}

/** The limits of a rule, by the names that a standard calls them. */
export type LimitSpecs = Readonly<Record<string, LimitSpec>>;
/** The limits as a run has them. */
export type LimitValues<L extends LimitSpecs> = { readonly [K in keyof L]: number };
type AnyLimits = Readonly<Record<string, number>>;

/** A limit of another rule, as the run has it: `limitOf('scale.nonuniform', 'uneven')`. */
export type LimitOf = (rule: string, limit: string) => number;

/** When a finding steps back because another already reports the same fault. */
export interface Yield {
  readonly to: readonly string[];
  /** Where: anywhere in the rig, on one of its joints, on each of them, or at or above one. */
  readonly on: 'rig' | 'joints' | 'each' | 'above';
  /** Whether a finding of those explains one of this rule; all of them do where it is left out. */
  explains?(by: Finding, finding: Finding): boolean;
}

/** What people read of a rule. */
export interface RuleText {
  readonly id: string;
  /** Default level; the most serious one where it depends on the measure. */
  readonly level: Level;
  /** The mildest level that some findings get; they may have any between. */
  readonly milder?: Level;
  /** What it finds, as a phrase. */
  readonly title: string;
  /** Why it matters to whoever poses the rig. */
  readonly why: string;
  /** How it is measured, in words. */
  readonly formula: string;
  readonly remedy: string;
  /** Published source, or `common practice`. */
  readonly source: string;
}

/** What a rule that looks at one rig is made of. */
export interface RuleSpec<L extends LimitSpecs, A> extends RuleText {
  readonly limits: L;
  /** Costs more than all other rules together, so a run judges it only on request. */
  readonly onRequest?: boolean;
  /** Judged only where rigs are compared with an approved one: `facts.approved` is there then. */
  readonly onApproved?: boolean;
  /** Whether a standard asks for it; a rule that no standard has to ask for leaves this out. */
  isAsked?(wanted: WantedOfRig): boolean;
  readonly yieldsTo?: readonly Yield[];
  /** Looks at one rig. Never changes anything. `limitOf` gives the limits of other rules. */
  check(facts: Facts, limits: LimitValues<L>, limitOf: LimitOf): Judged<A> | NotApplicable;
  /**
   * What the rule says of an asset that holds no rig at all: a file of clips has to fit as well. Such
   * findings are at the asset, and `say` has no words of a rig for them.
   */
  withoutRig?(
    model: RigModel,
    limits: LimitValues<L>,
    approved: ApprovedAsset | null,
  ): Judged<A> | NotApplicable;
  /** Joins findings of one cause (twins, a limb, one a rig), once precedence is settled. */
  gather?(facts: Facts, findings: readonly Finding<A>[]): readonly Gathered<A>[];
  say(finding: Finding<A>, words: Words): Said;
  /** What the fault leads to; the finding that this one steps back for says it. */
  consequence?(finding: Finding<A>, words: Words): string;
}

/** One finding, and those it was made from. */
export interface Gathered<A = unknown> {
  readonly finding: Finding<A>;
  readonly from: readonly Finding<A>[];
}

/** What is said of one finding. */
export interface Said {
  /** What was measured and the limit: one sentence. */
  readonly message: string;
  /** What to do: one sentence. */
  readonly remedy: string;
}

/** A rule without its private types: what the runner and the docs work with. */
export interface Rule extends RuleText {
  readonly family: string;
  readonly scope: 'rig' | 'asset';
  /** Of a rule about rigs: whether it also has something to say of an asset without one. */
  readonly alsoWithoutRig: boolean;
  /** Judged only where the run asks for the bend laboratory. */
  readonly onRequest: boolean;
  /** Judged only where rigs are compared with an approved one. */
  readonly onApproved: boolean;
  /** Whether a standard asks for it: it is judged, and told of in reports, only then. */
  isAsked(wanted: WantedOfRig): boolean;
  readonly limits: LimitSpecs;
  readonly yieldsTo: readonly Yield[];
  /** Looks at one rig; a rule about assets does not apply to one. */
  check(facts: Facts, limits: AnyLimits, limitOf?: LimitOf): Judged | NotApplicable;
  /** Looks at the asset; a rule about rigs does not apply to it, but for one that is `alsoWithoutRig`. */
  checkAsset(
    model: RigModel,
    limits: AnyLimits,
    approved?: ApprovedAsset | null,
    wanted?: WantedOfRig,
  ): Judged | NotApplicable;
  gather(facts: Facts, findings: readonly Finding[]): readonly Gathered[];
  say(finding: Finding, words: Words): Said;
  consequence(finding: Finding, words: Words): string | null;
}

/** A rule that runs alone has no others to look limits up in. */
const noOthers: LimitOf = (rule, limit) => {
  throw new Error(`the limit ${rule} ${limit} was asked for, but the rule runs alone`);
};

/** What an asset is held to where no standard says anything. */
const NOTHING_WANTED: WantedOfRig = { aim: null, up: null };

/** A finding that shares its cause with no other. */
export function alone<A>(finding: Finding<A>): Gathered<A> {
  return { finding, from: [finding] };
}

/** What a program without types can leave out, and nothing would tell until a rig is judged. */
function refuseHalf(spec: Readonly<Record<'id' | 'check' | 'say', unknown>>): void {
  if (typeof spec.id !== 'string') throw new TypeError('a rule has no "id", such as prop.wheel');
  for (const key of ['check', 'say'] as const)
    if (typeof spec[key] !== 'function')
      throw new TypeError(`the rule ${spec.id} has no "${key}"; it must be a function`);
}

/**
 * Makes a rule. Its findings come back to its own `say`, so their details keep their type. Throws
 * TypeError for a rule without an id, `check` or `say`.
 */
export function rule<const L extends LimitSpecs, A>(spec: RuleSpec<L, A>): Rule {
  refuseHalf(spec);
  return {
    ...spec,
    family: familyOf(spec.id),
    scope: 'rig',
    alsoWithoutRig: spec.withoutRig !== undefined,
    onRequest: spec.onRequest ?? false,
    onApproved: spec.onApproved ?? false,
    isAsked: (wanted) => spec.isAsked?.(wanted) ?? true,
    yieldsTo: spec.yieldsTo ?? [],
    // The runner fills every limit named in `limits`, so the values have their type.
    check: (facts, limits, limitOf = noOthers) =>
      spec.check(facts, limits as LimitValues<L>, limitOf),
    checkAsset: (model, limits, approved = null) =>
      model.rigs.length === 0 && spec.withoutRig !== undefined
        ? spec.withoutRig(model, limits as LimitValues<L>, approved)
        : notApplicable('the rule looks at rigs'),
    // A finding is only ever handed to the rule that made it.
    gather: (facts, findings) =>
      spec.gather?.(facts, findings as readonly Finding<A>[]) ?? findings.map(alone),
    say: (finding, words) => spec.say(finding as Finding<A>, words),
    consequence: (finding, words) => spec.consequence?.(finding as Finding<A>, words) ?? null,
  };
}

/** What a rule that looks at one asset is made of. */
export interface AssetRuleSpec<L extends LimitSpecs, A> extends RuleText {
  readonly limits: L;
  /** Judged only where assets are compared with an approved one, which `check` is then given. */
  readonly onApproved?: boolean;
  /** As in `RuleSpec`. */
  isAsked?(wanted: WantedOfRig): boolean;
  /** The rules whose findings about the same asset go before: `on` is `rig`, for all of it. */
  readonly yieldsTo?: readonly Yield[];
  check(
    model: RigModel,
    limits: LimitValues<L>,
    approved: ApprovedAsset | null,
    wanted: WantedOfRig,
  ): Judged<A> | NotApplicable;
  say(finding: Finding<A>): Said;
}

/** Makes a rule about an asset as a whole, whether or not it holds a rig. */
export function assetRule<const L extends LimitSpecs, A = null>(spec: AssetRuleSpec<L, A>): Rule {
  refuseHalf(spec);
  return {
    ...rule<L, A>({ ...spec, check: () => notApplicable('the rule looks at assets') }),
    scope: 'asset',
    // As in `rule`, the runner fills every limit.
    checkAsset: (model, limits, approved = null, wanted = NOTHING_WANTED) =>
      spec.check(model, limits as LimitValues<L>, approved, wanted),
  };
}

/** The levels that a rule's findings may have, the most serious first. */
export function levelsOfRule({ level, milder = level }: RuleText): Level[] {
  return LEVELS.slice(LEVELS.indexOf(level), LEVELS.indexOf(milder) + 1);
}
