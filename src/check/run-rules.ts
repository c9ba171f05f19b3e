import { bySeverity, countCovered, type Finding, type Judged, type Place } from '../kit/finding.js';
import type { Rule, Yield } from '../kit/rule.js';
import type { Words } from '../kit/words.js';
import type { Facts } from '../measure/facts.js';
import type { Stopwatch } from '../report/asset-times.js';
import { limitsOf, limitsOfAll, rulesToRun, type Settings } from './settings.js';

/** A finding that is kept, with what others would have said of the same fault. */
export interface KeptFinding {
  readonly rule: Rule;
  readonly finding: Finding;
  /** In order, each once. */
  readonly consequences: Set<string>;
  /** Ids of the rules whose findings stepped back for it, each once. */
  readonly insteadOf: Set<string>;
}

export interface RuleRun {
  readonly rule: Rule;
  readonly outcome: ReturnType<Rule['check']>;
}

type RigRun = { readonly kept: readonly KeptFinding[]; readonly runs: readonly RuleRun[] };

/** Runs every rule on one rig; a fault that several rules find is reported once. */
export function runRules(facts: Facts, settings: Settings, words: Words, watch: Stopwatch): RigRun {
  const rules = rulesToRun(settings, facts.approved !== undefined).filter(
    (rule) => rule.scope === 'rig',
  );
  const limitOf = limitsOfAll(settings);
  const runs = rules.map((rule) => ({
    rule,
    outcome: watch.rule(facts.rig.index, rule.id, () =>
      rule.check(facts, limitsOf(settings, rule), limitOf),
    ),
  }));
  const settled = settlePrecedence(runs, words, facts.rig.joints.parent);
  return { ...settled, kept: rules.flatMap((rule) => gather(facts, rule, settled.kept)) };
}

/** The kept findings of one rule, one a cause. */
function gather(facts: Facts, rule: Rule, all: readonly KeptFinding[]): KeptFinding[] {
  const ofRule = all.filter((kept) => kept.rule === rule);
  const byFinding = new Map(ofRule.map((kept) => [kept.finding, kept]));
  return rule.gather(facts, [...byFinding.keys()]).map(({ finding, from }) => {
    const joined = from.flatMap((source) => byFinding.get(source) ?? []);
    return {
      rule,
      finding,
      consequences: new Set(joined.flatMap(({ consequences }) => [...consequences])),
      insteadOf: new Set(joined.flatMap(({ insteadOf }) => [...insteadOf])),
    };
  });
}

/** The kept findings of one rule. */
class KeptByRule {
  readonly all: KeptFinding[] = [];
  /** By the joints that they name. */
  readonly byJoint = new Map<number, KeptFinding[]>();
  /** By the joints that they are at. */
  readonly byPlace = new Map<number, KeptFinding[]>();

  add(kept: KeptFinding): void {
    this.all.push(kept);
    for (const joint of jointsOf(kept.finding)) append(this.byJoint, joint, kept);
    for (const place of placesOf(kept.finding))
      if (place.kind === 'joint') append(this.byPlace, place.joint, kept);
  }
}

function append<K, V>(map: Map<K, V[]>, key: K, value: V): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}

function foundAt(joints: Set<number>, map: Map<number, KeptFinding[]>): KeptFinding[] {
  return [...new Set([...joints].flatMap((joint) => map.get(joint) ?? []))];
}

/**
 * One fault, one finding. A finding steps back when one of a rule it yields to is kept in the rig,
 * or on one of its joints, or when a finding at the same place covers its rule. What it would have
 * said follows from the fault is added to the worst of those kept.
 */
export function settlePrecedence(
  runs: readonly RuleRun[],
  words: Words,
  parent: Int32Array,
): RigRun {
  const byRule = new Map<string, KeptByRule>();
  const covering = new Map<string, KeptFinding[]>();
  const dropped = new Map<string, number>();
  for (const { rule, outcome } of inYieldOrder(runs)) {
    if (outcome.kind !== 'judged') continue;
    const ofRule = new KeptByRule();
    for (const finding of outcome.findings) {
      const winners = [
        ...winnersOver(rule, finding, byRule, parent),
        ...coveredBy(rule.id, finding, covering),
      ].sort((a, b) => bySeverity(a.finding, b.finding));
      const [worst] = winners;
      if (worst === undefined) {
        const kept: KeptFinding = { rule, finding, consequences: new Set(), insteadOf: new Set() };
        ofRule.add(kept);
        for (const id of finding.covers ?? [])
          for (const place of placesOf(finding)) append(covering, coverKey(id, place), kept);
        continue;
      }
      const short = finding.counts?.short ?? countCovered(finding, outcome.things);
      dropped.set(rule.id, (dropped.get(rule.id) ?? 0) + short);
      for (const winner of winners) winner.insteadOf.add(rule.id);
      const consequence = rule.consequence(finding, words);
      if (consequence !== null) worst.consequences.add(consequence);
    }
    byRule.set(rule.id, ofRule);
  }
  return {
    kept: runs.flatMap(({ rule }) => byRule.get(rule.id)?.all ?? []),
    runs: runs.map(({ rule, outcome }) => {
      if (outcome.kind !== 'judged') return { rule, outcome };
      const isKept = (byRule.get(rule.id)?.all.length ?? 0) > 0;
      return { rule, outcome: counted(outcome, isKept, dropped.get(rule.id) ?? 0) };
    }),
  };
}

/**
 * What fell short once precedence is settled. A rule with a kept finding has at least one
 * short, however it counts; one whose findings all stepped back has none, and the rest are counted
 * elsewhere.
 */
function counted(outcome: Judged, isKept: boolean, dropped: number): Judged {
  const total = Math.max(outcome.short, dropped);
  const short = isKept ? Math.max(1, total - dropped) : 0;
  const elsewhere = dropped === 0 ? 0 : Math.max(0, total - short);
  return { ...outcome, short, elsewhere };
}

/** Rules that others yield to come first. */
function inYieldOrder(runs: readonly RuleRun[]): RuleRun[] {
  const byId = new Map(runs.map((run) => [run.rule.id, run]));
  const seen = new Set<RuleRun>();
  const ordered: RuleRun[] = [];
  const visit = (run: RuleRun): void => {
    if (seen.has(run)) return;
    seen.add(run);
    for (const id of run.rule.yieldsTo.flatMap(({ to }) => to)) {
      const earlier = byId.get(id);
      if (earlier !== undefined) visit(earlier);
    }
    ordered.push(run);
  };
  // Covering findings are looked up in what ran before: rules that can cover go first.
  const covers = ({ outcome }: RuleRun): boolean =>
    outcome.kind === 'judged' && outcome.findings.some(({ covers }) => covers !== undefined);
  for (const run of [...runs].sort((a, b) => Number(covers(b)) - Number(covers(a)))) visit(run);
  return ordered;
}

function winnersOver(
  rule: Rule,
  finding: Finding,
  byRule: ReadonlyMap<string, KeptByRule>,
  parent: Int32Array,
): KeptFinding[] {
  const joints = jointsOf(finding);
  return rule.yieldsTo.flatMap((to) =>
    keptWhere(to, joints, byRule, parent).filter(
      (kept) => to.explains?.(kept.finding, finding) ?? true,
    ),
  );
}

/** What is kept of the rules that a finding about some joints yields to, where it does. */
function keptWhere(
  { to, on }: Yield,
  joints: Set<number>,
  byRule: ReadonlyMap<string, KeptByRule>,
  parent: Int32Array,
): KeptFinding[] {
  const earlier = to.flatMap((id) => byRule.get(id) ?? []).filter(({ all }) => all.length > 0);
  if (earlier.length === 0) return [];
  if (on === 'rig') return earlier.flatMap(({ all }) => all);
  if (on === 'joints') return earlier.flatMap(({ byJoint }) => foundAt(joints, byJoint));
  const isAt = (joint: number): boolean => earlier.some(({ byPlace }) => byPlace.has(joint));
  if (on === 'each' && ![...joints].every(isAt)) return [];
  const where = on === 'above' ? withAbove(joints, parent) : joints;
  return earlier.flatMap(({ byPlace }) => foundAt(where, byPlace));
}

/** The joints and all joints above them. */
function withAbove(joints: ReadonlySet<number>, parent: Int32Array): Set<number> {
  const all = new Set<number>();
  for (const joint of joints) {
    for (let at = joint; at !== -1 && !all.has(at); at = parent[at] ?? -1) all.add(at);
  }
  return all;
}

function placesOf({ place, places = [] }: Finding): readonly Place[] {
  return places.length === 0 ? [place] : places;
}

/** What covers each of the places of a finding; nothing where one of them is not covered. */
function coveredBy(
  rule: string,
  finding: Finding,
  covering: ReadonlyMap<string, readonly KeptFinding[]>,
): KeptFinding[] {
  const found = placesOf(finding).map((place) => covering.get(coverKey(rule, place)) ?? []);
  return found.every((list) => list.length > 0) ? [...new Set(found.flat())] : [];
}

function jointsOf({ joints = [], place }: Finding): Set<number> {
  return new Set(place.kind === 'joint' ? [...joints, place.joint] : joints);
}

function coverKey(rule: string, place: Place): string {
  return `${rule} ${JSON.stringify(place)}`;
}
