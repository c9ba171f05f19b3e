import type { Asset } from '../asset/load-asset.js';
import { type Words, wordsFor } from '../kit/words.js';
import type { Facts } from '../measure/facts.js';
import { size } from '../measure/geometry/bind-mesh.js';
import { Stopwatch } from '../report/asset-times.js';
import { Identities } from '../report/identity.js';
import type { AssetReport, FindingReport, RigReport } from '../report/report-types.js';
import type { ApprovedAsset, RigModel } from '../rig/types.js';
import { gatherNodes } from './gather-nodes.js';
import { pairRigs } from './pair-rigs.js';
import { ReportBudget } from './report-budget.js';
import { reportFinding } from './report-finding.js';
import { reportJoint, reportRig } from './report-rig.js';
import type { RigTransforms } from './report-transforms.js';
import { guarded, RuleFaults } from './rule-faults.js';
import { type RuleRun, runRules, settlePrecedence } from './run-rules.js';
import { limitsOf, rulesToRun, type Settings } from './settings.js';
import { countLevels, verdictOf } from './verdict.js';

/** What is told of a rig on request. */
type MoreOfRig = (facts: Facts, budget: ReportBudget) => RigTransforms;

/**
 * Checks the rigs of one asset. Order is made here: rig, joint, rule. Throws AssetError when a
 * report has no room for all that there is.
 */
export function reportRigs(
  model: RigModel,
  given: Settings,
  watch = new Stopwatch(),
  approved: ApprovedAsset | null = null,
  more: MoreOfRig | null = null,
  faults = new RuleFaults(given.own),
): Pick<AssetReport, 'rigs' | 'findings' | 'counts' | 'verdict' | 'failed' | 'asked'> {
  const settings = guarded(given, faults);
  const budget = new ReportBudget();
  // A budget of its own: a report that fits without it is not refused for what is in it anyway.
  const budgetOfMore = new ReportBudget();
  const rigs: RigReport[] = [];
  const { asked, findings: all } = reportAsset(model, settings, watch, budget, approved);
  const pairing = approved && pairRigs(approved, model.rigs);
  for (const rig of model.rigs) {
    faults.rig = rig;
    budget.foresee(
      'joints',
      rig.joints.names.map((_, joint) => reportJoint(rig, joint)),
    );
    const against = pairing?.get(rig);
    const facts: Facts = { rig, wanted: settings.wanted, ...(against && { approved: against }) };
    const words = wordsFor(rig, size(facts), settings.unit);
    const { kept, runs } = runRules(facts, settings, words, watch);
    const plain = reportRig(facts, runs, settings, budget);
    rigs.push(more === null ? plain : withMore(plain, more(facts, budgetOfMore)));
    const outcomes = new Map(runs.map(({ rule, outcome }) => [rule, outcome]));
    const rigFindings = kept.map((each) => {
      const outcome = outcomes.get(each.rule);
      return budget.take('findings', reportFinding(rig, settings, words, each, outcome));
    });
    // In joint order; findings about the rig, its nodes and meshes come before.
    rigFindings.sort((a, b) => (a.place.joint ?? -1) - (b.place.joint ?? -1));
    for (const finding of rigFindings) all.push(finding);
  }
  const identities = new Identities();
  const findings = gatherNodes(all.filter(({ rule, rig }) => !faults.has(rule, rig))).map(
    (finding) => {
      const rig = rigs[finding.rig ?? -1]?.name ?? null;
      return { ...finding, identity: identities.next({ ...finding, rig }) };
    },
  );
  const counts = countLevels(findings);
  const told = { rigs, findings, counts, ...(asked && { asked }) };
  const judged = { ...told, verdict: verdictOf({ ...told, unreadable: null }, settings.failing) };
  if (faults.list.length === 0) return judged;
  return { ...judged, rigs: rigs.map((rig) => withoutFailed(rig, faults)), failed: faults.list };
}

/** A rule that failed measured nothing, whatever it said before. */
function withoutFailed(rig: RigReport, faults: RuleFaults): RigReport {
  return { ...rig, measured: rig.measured.filter(({ rule }) => !faults.has(rule, rig.index)) };
}

function withMore(rig: RigReport, { joints, clipList }: RigTransforms): RigReport {
  const all = rig.joints.map((joint, at) => {
    const transforms = joints[at];
    return transforms === undefined ? joint : { ...joint, transforms };
  });
  return { ...rig, joints: all, clipList };
}

function reportAsset(
  model: RigModel,
  settings: Settings,
  watch: Stopwatch,
  budget: ReportBudget,
  approved: ApprovedAsset | null,
): { readonly findings: FindingReport[]; readonly asked: AssetReport['asked'] | null } {
  const rules = rulesToRun(settings, approved !== null).filter(
    ({ scope, alsoWithoutRig }) => scope === 'asset' || (alsoWithoutRig && model.rigs.length === 0),
  );
  const runs = rules.map((rule): RuleRun => {
    const outcome = watch.rule(null, rule.id, () =>
      rule.checkAsset(model, limitsOf(settings, rule), approved, settings.wanted),
    );
    return { rule, outcome };
  });
  const outcomes = new Map(runs.map(({ rule, outcome }) => [rule, outcome]));
  // What is about the asset as a whole is about one thing, as in a rig what is about the rig.
  const findings = settlePrecedence(runs, NO_WORDS, NO_JOINTS).kept.map((kept) =>
    budget.take('findings', reportFinding(null, settings, NO_WORDS, kept, outcomes.get(kept.rule))),
  );
  const channels = runs.flatMap(({ outcome }) =>
    outcome.kind === 'judged' && outcome.things === 'channels' ? [outcome.looked] : [],
  );
  const isOfClips = approved !== null && model.rigs.length === 0 && channels.length > 0;
  const asked = { clips: model.clips.length, channels: Math.max(...channels) };
  return { findings, asked: isOfClips ? asked : null };
}

const NO_JOINTS = new Int32Array(0);

// An asset rule's `say` takes no words (`assetRule`), and others have none for an asset without a rig
// (`withoutRig`): nothing of them is ever called.
const NO_WORDS = {} as Words;

export function reportContainer(asset: Asset, sha256: string | null): AssetReport['container'] {
  const { kind, bytes, jsonBytes: json } = asset.container;
  return { kind, bytes, sha256, json };
}
