import {
  bySeverity,
  type Finding,
  type Judged,
  type NotApplicable,
  type Place,
  toldBy,
} from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import type { Words } from '../kit/words.js';
import type { Facts } from '../measure/facts.js';
import type { Stopwatch } from '../report/asset-times.js';
import { limitsOf, limitsOfAll, rulesToRun, type Settings } from './settings.js';

/** A finding that stands, with what others would have said of the same fault. */
export interface Standing {
  readonly rule: Rule;
  readonly finding: Finding;
  readonly consequences: readonly string[];
  /** Ids of the rules whose findings stepped back for it, each once, in order. */
  readonly insteadOf: readonly string[];
}

export interface RuleRun {
  readonly rule: Rule;
  readonly outcome: Judged | NotApplicable;
}

export interface RigRun {
  readonly standing: readonly Standing[];
  readonly runs: readonly RuleRun[];
}

/** Runs every rule on one rig and lets one fault be told once. */
export function runRules(facts: Facts, settings: Settings, words: Words, watch: Stopwatch): RigRun {
  const rules = rulesToRun(settings).filter((rule) => rule.scope === 'rig');
  const runs = rules.map((rule) => ({
    rule,
    outcome: watch.rule(facts.rig.index, rule.id, () =>
      rule.check(facts, limitsOf(settings, rule), limitsOfAll(settings)),
    ),
  }));
  const settled = settlePrecedence(runs, words, facts.rig.joints.parent);
  return { ...settled, standing: rules.flatMap((rule) => gather(facts, rule, settled.standing)) };
}

/** What stands of one rule, each cause told once. */
function gather(facts: Facts, rule: Rule, all: readonly Standing[]): Standing[] {
  const own = all.filter((item) => item.rule === rule);
  const told = new Map(own.map((item) => [item.finding, item]));
  return rule.gather(facts, [...told.keys()]).map(({ finding, from }) => {
    const consequences = new Set(from.flatMap((item) => told.get(item)?.consequences ?? []));
    const insteadOf = new Set(from.flatMap((item) => told.get(item)?.insteadOf ?? []));
    return {
      rule,
      finding,
      consequences: [...consequences],
      insteadOf: [...insteadOf].sort(),
    };
  });
}

interface Candidate {
  readonly rule: Rule;
  readonly finding: Finding;
  /** In order, each once. */
  readonly consequences: Set<string>;
  readonly insteadOf: Set<string>;
}

/** Findings that stand so far, to be found by joint and by what they cover. */
class Candidates {
  readonly all: Candidate[] = [];
  /** By joints they speak of, and by the joints they are at. */
  private readonly byJoint = new Map<number, Candidate[]>();
  private readonly byPlace = new Map<number, Candidate[]>();

  add(candidate: Candidate): void {
    this.all.push(candidate);
    for (const joint of jointsOf(candidate.finding)) append(this.byJoint, joint, candidate);
    for (const joint of placeJoints(candidate.finding)) append(this.byPlace, joint, candidate);
  }

  speakingOf(joints: Iterable<number>): Candidate[] {
    return unique(joints, this.byJoint);
  }

  at(joints: Iterable<number>): Candidate[] {
    return unique(joints, this.byPlace);
  }

  hasAt(joint: number): boolean {
    return this.byPlace.has(joint);
  }
}

function append<K, V>(map: Map<K, V[]>, key: K, value: V): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}

function unique(
  joints: Iterable<number>,
  from: ReadonlyMap<number, readonly Candidate[]>,
): Candidate[] {
  const found = new Set<Candidate>();
  for (const joint of joints) for (const candidate of from.get(joint) ?? []) found.add(candidate);
  return [...found];
}

/**
 * One fault, one finding. A finding steps back when one of a rule it yields to stands in the rig, or
 * on one of its joints, or when a finding at the same place covers its rule. What it would have said
 * follows from the fault is added to the one that stands.
 */
export function settlePrecedence(
  runs: readonly RuleRun[],
  words: Words,
  parent: Int32Array,
): RigRun {
  const byRule = new Map<string, Candidates>();
  const covering = new Map<string, Candidate[]>();
  const dropped = new Map<string, number>();
  for (const { rule, outcome } of inYieldOrder(runs)) {
    const kept = new Candidates();
    for (const finding of outcome.kind === 'judged' ? outcome.findings : []) {
      const before = [
        ...winnersOver(rule, finding, byRule, parent),
        ...coveredBy(rule.id, finding, covering),
      ];
      if (before.length === 0) {
        const candidate = {
          rule,
          finding,
          consequences: new Set<string>(),
          insteadOf: new Set<string>(),
        };
        kept.add(candidate);
        for (const id of finding.covers ?? [])
          for (const place of placesOf(finding)) append(covering, coverKey(id, place), candidate);
        continue;
      }
      const less =
        finding.counts?.short ?? (outcome.kind === 'judged' ? toldBy(finding, outcome.of) : 1);
      dropped.set(rule.id, (dropped.get(rule.id) ?? 0) + less);
      for (const candidate of before) candidate.insteadOf.add(rule.id);
      const told = rule.consequence(finding, words);
      if (told !== null) worstOf(before)?.consequences.add(told);
    }
    byRule.set(rule.id, kept);
  }
  return {
    standing: runs.flatMap(({ rule }) =>
      (byRule.get(rule.id)?.all ?? []).map((item) => ({
        ...item,
        consequences: [...item.consequences],
        insteadOf: [...item.insteadOf],
      })),
    ),
    runs: runs.map(({ rule, outcome }) => {
      if (outcome.kind !== 'judged') return { rule, outcome };
      const stands = (byRule.get(rule.id)?.all.length ?? 0) > 0;
      return { rule, outcome: counted(outcome, stands, dropped.get(rule.id) ?? 0) };
    }),
  };
}

/**
 * What fell short once precedence is settled. A rule of which a finding stands has not held on all
 * that it looked at, however it counts, nor has one whose fault is told elsewhere.
 */
function counted(outcome: Judged, stands: boolean, dropped: number): Judged {
  const total = Math.max(outcome.short, dropped);
  const short = stands ? Math.max(1, total - dropped) : 0;
  const elsewhere = dropped === 0 ? 0 : Math.max(0, total - short);
  return { ...outcome, short, elsewhere };
}

/** What follows from several findings is told once, at the worst of them. */
function worstOf(candidates: readonly Candidate[]): Candidate | undefined {
  const [worst] = [...candidates].sort((a, b) => bySeverity(a.finding, b.finding));
  return worst;
}

/** Rules that others yield to come first. */
function inYieldOrder(runs: readonly RuleRun[]): RuleRun[] {
  const byId = new Map(runs.map((run) => [run.rule.id, run]));
  const done = new Set<string>();
  const ordered: RuleRun[] = [];
  const visit = (run: RuleRun): void => {
    if (done.has(run.rule.id)) return;
    done.add(run.rule.id);
    for (const { to } of run.rule.yieldsTo) {
      for (const id of to) {
        const earlier = byId.get(id);
        if (earlier !== undefined) visit(earlier);
      }
    }
    ordered.push(run);
  };
  // Covering findings are looked up in what ran before: rules that can cover go first.
  const covering = (run: RuleRun): boolean =>
    run.outcome.kind === 'judged' &&
    run.outcome.findings.some((finding) => finding.covers !== undefined);
  for (const run of [...runs].sort((a, b) => Number(covering(b)) - Number(covering(a)))) visit(run);
  return ordered;
}

function winnersOver(
  rule: Rule,
  finding: Finding,
  byRule: ReadonlyMap<string, Candidates>,
  parent: Int32Array,
): Candidate[] {
  const own = jointsOf(finding);
  return rule.yieldsTo.flatMap(({ to, on }) => {
    const earlier = to.flatMap((id) => byRule.get(id) ?? []).filter(({ all }) => all.length > 0);
    if (earlier.length === 0) return [];
    if (on === 'rig') return earlier.flatMap(({ all }) => all);
    if (on === 'joints') return earlier.flatMap((list) => list.speakingOf(own));
    if (on === 'above') return earlier.flatMap((list) => list.at(withAbove(own, parent)));
    const everywhere = [...own].every((joint) => earlier.some((list) => list.hasAt(joint)));
    return everywhere ? earlier.flatMap((list) => list.at(own)) : [];
  });
}

/** The joints and all joints above them. */
function withAbove(joints: ReadonlySet<number>, parent: Int32Array): Set<number> {
  const all = new Set<number>();
  for (const joint of joints) {
    for (let at = joint; at !== -1 && !all.has(at); at = parent[at] ?? -1) all.add(at);
  }
  return all;
}

function placeJoints(finding: Finding): number[] {
  return placesOf(finding).flatMap((place) => (place.kind === 'joint' ? [place.joint] : []));
}

function placesOf({ place, places = [] }: Finding): readonly Place[] {
  return places.length === 0 ? [place] : places;
}

/** What covers each of the places of a finding; none where one of them is told by nobody else. */
function coveredBy(
  rule: string,
  finding: Finding,
  covering: ReadonlyMap<string, readonly Candidate[]>,
): Candidate[] {
  const found = placesOf(finding).map((place) => covering.get(coverKey(rule, place)) ?? []);
  return found.every((list) => list.length > 0) ? [...new Set(found.flat())] : [];
}

function jointsOf(finding: Finding): Set<number> {
  const joints = new Set(finding.joints ?? []);
  if (finding.place.kind === 'joint') joints.add(finding.place.joint);
  return joints;
}

function coverKey(rule: string, place: Place): string {
  return `${rule} ${JSON.stringify(place)}`;
}
