import type { Finding, Judged, NotApplicable } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import type { Words } from '../kit/words.js';
import type { Facts } from '../measure/facts.js';
import { limitsOf, type Settings } from './settings.js';

/** A finding that stands, with what others would have said of the same fault. */
export interface Standing {
  readonly rule: Rule;
  readonly finding: Finding;
  readonly consequences: readonly string[];
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
export function runRules(facts: Facts, settings: Settings, words: Words): RigRun {
  const rules = settings.rules.filter(
    (rule) => rule.scope === 'rig' && settings.levels.get(rule.id) !== 'none',
  );
  const runs = rules.map((rule) => ({
    rule,
    outcome: rule.check(facts, limitsOf(settings, rule)),
  }));
  return settlePrecedence(runs, words, facts.rig.joints.parent);
}

interface Candidate {
  readonly rule: Rule;
  readonly finding: Finding;
  readonly consequences: string[];
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
  const byRule = new Map<string, Candidate[]>();
  const dropped = new Map<string, number>();
  for (const { rule, outcome } of inYieldOrder(runs)) {
    const kept: Candidate[] = [];
    for (const finding of outcome.kind === 'judged' ? outcome.findings : []) {
      const before = winnersOver(rule, finding, byRule, parent);
      if (before.length === 0) {
        kept.push({ rule, finding, consequences: [] });
        continue;
      }
      dropped.set(rule.id, (dropped.get(rule.id) ?? 0) + (finding.counts?.short ?? 1));
      const told = rule.consequence(finding, words);
      for (const winner of before)
        if (told !== null && !winner.consequences.includes(told)) winner.consequences.push(told);
    }
    byRule.set(rule.id, kept);
  }
  return {
    standing: runs.flatMap(({ rule }) => byRule.get(rule.id) ?? []),
    runs: runs.map(({ rule, outcome }) => {
      const less = dropped.get(rule.id) ?? 0;
      if (outcome.kind !== 'judged' || less === 0) return { rule, outcome };
      return { rule, outcome: { ...outcome, short: Math.max(0, outcome.short - less) } };
    }),
  };
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
  byRule: ReadonlyMap<string, readonly Candidate[]>,
  parent: Int32Array,
): Candidate[] {
  const own = jointsOf(finding);
  const yielded = rule.yieldsTo.flatMap(({ to, on }) => {
    const earlier = to.flatMap((id) => byRule.get(id) ?? []);
    if (on === 'rig') return earlier;
    if (on === 'each') return earlierOnEach(earlier, own);
    const reach = on === 'above' ? withAbove(own, parent) : own;
    return earlier.filter(({ finding: other }) => {
      const told = on === 'above' ? placeJoint(other) : [...jointsOf(other)];
      return told.some((joint) => reach.has(joint));
    });
  });
  const covered = [...byRule.values()].flat().filter((other) => {
    return other.finding.covers?.includes(rule.id) === true && samePlace(other.finding, finding);
  });
  return [...yielded, ...covered];
}

/** The findings at these joints, if there is one at each of them. */
function earlierOnEach(earlier: readonly Candidate[], joints: ReadonlySet<number>): Candidate[] {
  const at = earlier.filter(({ finding }) =>
    placeJoint(finding).some((joint) => joints.has(joint)),
  );
  const told = new Set(at.flatMap(({ finding }) => placeJoint(finding)));
  return [...joints].every((joint) => told.has(joint)) ? at : [];
}

/** The joints and all joints above them. */
function withAbove(joints: ReadonlySet<number>, parent: Int32Array): Set<number> {
  const all = new Set<number>();
  for (const joint of joints) {
    for (let at = joint; at !== -1 && !all.has(at); at = parent[at] ?? -1) all.add(at);
  }
  return all;
}

function placeJoint({ place }: Finding): readonly number[] {
  return place.kind === 'joint' ? [place.joint] : [];
}

function jointsOf(finding: Finding): Set<number> {
  const joints = new Set(finding.joints ?? []);
  if (finding.place.kind === 'joint') joints.add(finding.place.joint);
  return joints;
}

function samePlace(a: Finding, b: Finding): boolean {
  return JSON.stringify(a.place) === JSON.stringify(b.place);
}
