import type { Asset } from '../asset/load-asset.js';
import type { Evidence, Finding, Place } from '../kit/finding.js';
import { type Words, wordsFor } from '../kit/words.js';
import { bendLab } from '../measure/bend/bend-lab.js';
import { axisName, type Facts } from '../measure/facts.js';
import { played } from '../measure/fit/play.js';
import { size } from '../measure/geometry/bind-mesh.js';
import { midline } from '../measure/geometry/midline.js';
import { bindPose } from '../measure/pose/bind-pose.js';
import { bodyRoot } from '../measure/skeleton/body-root.js';
import { conventions } from '../measure/skeleton/conventions.js';
import { mirror } from '../measure/skeleton/mirror.js';
import { type Pair, pairs } from '../measure/skeleton/pairs.js';
import { skinMass } from '../measure/skin/skin-mass.js';
import { Stopwatch } from '../report/asset-times.js';
import { Identities } from '../report/identity.js';
import type { AssetReport, FindingReport, RigReport } from '../report/report-types.js';
import { nodePath } from '../rig/node-name.js';
import type { ApprovedAsset, Rig, RigModel } from '../rig/types.js';
import { gatherNodes } from './gather-nodes.js';
import { pairRigs } from './pair-rigs.js';
import { ReportBudget } from './report-budget.js';
import type { RigTransforms } from './report-transforms.js';
import { guarded, RuleFaults } from './rule-faults.js';
import { type KeptFinding, type RuleRun, runRules, settlePrecedence } from './run-rules.js';
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

function reportFinding(
  rig: Rig | null,
  settings: Settings,
  words: Words,
  { rule, finding, consequences, insteadOf }: KeptFinding,
  outcome: RuleRun['outcome'] | undefined,
): FindingReport {
  const said = rule.say(finding, words);
  const level = settings.levels.get(rule.id);
  const also = (finding.also ?? []).filter(({ measured }) => Number.isFinite(measured));
  const anchor = finding.anchor ?? (finding.places === undefined ? finding.place : RIG);
  const { kind, path } = reportPlace(rig, anchor);
  const { looked = 0, short = 0 } = outcome?.kind === 'judged' ? outcome : {};
  return {
    identity: '',
    rule: rule.id,
    level: level === undefined || level === 'none' ? finding.level : level,
    rig: rig === null ? null : rig.index,
    anchor: { kind, path },
    aspect: finding.aspect ?? null,
    place: reportPlace(rig, finding.place),
    places: reportPlaces(rig, finding),
    message: said.message,
    remedy: said.remedy,
    measured: Number.isFinite(finding.measured) ? finding.measured : null,
    limit: finding.limit,
    unit: finding.unit,
    ...(also.length > 0 && { also }),
    // A finding about one thing counts as its rule does.
    counts: finding.counts ?? { looked, short },
    vertices: finding.vertices ?? [],
    consequences: [...consequences],
    evidence: (finding.evidence ?? []).filter(isFiniteEvidence),
    ...(insteadOf.size > 0 && { insteadOf: [...insteadOf].sort() }),
  };
}

/** Whether all numbers are finite; a kind and a label are no numbers. */
function isFiniteEvidence(evidence: Evidence): boolean {
  const values: unknown[] = Object.values(evidence).flat(2);
  return values.every((value) => typeof value === 'string' || Number.isFinite(value));
}

/** A longer list helps nobody: the counts say how many there are. */
const MOST_PLACES = 1000;

function reportPlaces(
  rig: Rig | null,
  { place, places = [], measured, measures }: Finding,
): FindingReport['places'] {
  const all = places.length === 0 ? [place] : places.slice(0, MOST_PLACES);
  return all.map((each, index) => {
    const measure = measures?.[index] ?? (all.length === 1 ? measured : NaN);
    return { ...reportPlace(rig, each), ...(Number.isFinite(measure) && { measured: measure }) };
  });
}

const RIG: Place = { kind: 'rig' };

function reportPlace(rig: Rig | null, place: Place): FindingReport['place'] {
  const nowhere = { joint: null, node: null };
  if (rig === null || place.kind === 'asset')
    return { kind: 'asset', name: 'asset', path: '', ...nowhere, pointer: '' };
  switch (place.kind) {
    case 'joint': {
      const { joint } = place;
      const node = rig.joints.node[joint] ?? 0;
      const [name, path] = [rig.joints.names[joint] ?? '', rig.joints.paths[joint] ?? ''];
      return { kind: 'joint', name, path, joint, node, pointer: `/nodes/${node}` };
    }
    case 'node': {
      const { node } = place;
      const steps = nodePath(rig.nodes, node);
      const [name, path] = [steps.at(-1) ?? '', steps.join('/')];
      return { kind: 'node', name, path, joint: null, node, pointer: `/nodes/${node}` };
    }
    case 'part': {
      const {
        label: name = 'mesh',
        primitive = 0,
        mesh = 0,
        node = null,
      } = rig.parts[place.part] ?? {};
      const path = primitive > 0 ? `${name}/primitive ${primitive + 1}` : name;
      const pointer = `/meshes/${mesh}/primitives/${primitive}`;
      return { kind: 'mesh', name, path, joint: null, node, pointer };
    }
    case 'skin': {
      const skin = rig.skins[place.skin];
      const name = skin?.name ?? rig.name;
      return { kind: 'skin', name, path: name, ...nowhere, pointer: `/skins/${skin?.index ?? 0}` };
    }
    case 'rig': {
      const { name, skins } = rig;
      return {
        kind: 'rig',
        name,
        path: name,
        ...nowhere,
        pointer: `/skins/${skins[0]?.index ?? 0}`,
      };
    }
  }
}

function reportRig(
  facts: Facts,
  runs: readonly RuleRun[],
  settings: Settings,
  budget: ReportBudget,
): RigReport {
  const { rig } = facts;
  const { places } = bindPose(facts);
  const { moves, ofJoint, total } = skinMass(facts);
  const { joint: root, mapped } = bodyRoot(facts);
  const joints = rig.joints.names.map((_, joint) =>
    budget.take(
      'joints',
      reportJoint(rig, joint, {
        place: places[joint] ?? [0, 0, 0],
        movesSkin: moves[joint] === 1,
        skinShare: total > 0 ? (ofJoint[joint] ?? 0) / total : 0,
      }),
    ),
  );
  const report = budget.take('rigs', {
    index: rig.index,
    name: rig.name,
    skins: rig.skins.length,
    vertices: rig.parts.reduce((sum, part) => sum + part.vertexCount, 0),
    triangles: rig.parts.reduce((sum, part) => sum + (part.triangles?.length ?? 0) / 3, 0),
    clips: rig.clips.length,
    size: size(facts),
    conventions: reportConventions(facts),
    bodyRoot: root === -1 ? null : root,
    bodyRootMapped: mapped,
    bends: reportBends(facts, settings),
    measured: runs.map(({ rule: { id }, outcome }): RigReport['measured'][number] => {
      if (outcome.kind === 'not applicable') return { rule: id, ...outcome };
      const { kind, looked, short, elsewhere = 0, things } = outcome;
      return { rule: id, kind, looked, short, elsewhere, of: things };
    }),
    ...reportPair(facts, runs),
  });
  return { ...report, joints };
}

type JointReport = RigReport['joints'][number];
type MeasuredJoint = Pick<JointReport, 'place' | 'movesSkin' | 'skinShare'>;

const NOT_MEASURED: MeasuredJoint = { place: [0, 0, 0], movesSkin: false, skinShare: 0 };

/** What is told of a joint; before anything is measured, as much of it as there will be. */
function reportJoint({ joints }: Rig, joint: number, measured = NOT_MEASURED): JointReport {
  const name = joints.names[joint] ?? '';
  return {
    name,
    path: joints.paths[joint] ?? name,
    parent: joints.parent[joint] ?? -1,
    node: joints.node[joint] ?? 0,
    ...measured,
  };
}

function reportPair(facts: Facts, runs: readonly RuleRun[]): Pick<RigReport, 'approved'> {
  const { approved } = facts;
  if (approved === undefined) return {};
  const { rig, by } = approved;
  // Asked only where a rule has played them.
  const isPlayed = runs.some(
    ({ rule, outcome }) => rule.id === 'fit.play' && outcome.kind === 'judged',
  );
  const clips = isPlayed ? played(facts)?.clips : undefined;
  const how = clips === undefined ? {} : { played: clips };
  return { approved: rig && by && { name: rig.name, by: by.way, shared: by.shared, ...how } };
}

/** Every joint's worst bend, the worst first; null where the skin is not bent. */
function reportBends(facts: Facts, { motion }: Settings): RigReport['bends'] {
  if (!motion || !skinMass(facts).hasMesh) return null;
  const bends = bendLab(facts).joints.map(({ joint, worst, triangles }) => {
    const { volumeKept, inverted, stretch } = worst;
    const axis = `${worst.sign > 0 ? '+' : '-'}${worst.axis}`;
    return { joint, axis, volumeKept, triangles, inverted, stretch };
  });
  return bends.sort((a, b) => (a.volumeKept ?? Infinity) - (b.volumeKept ?? Infinity));
}

function reportConventions(facts: Facts): RigReport['conventions'] {
  const { kind, source, aim, up, upKnown, votes, voters } = conventions(facts);
  const { scheme, agree, pairs: judged } = mirror(facts);
  const { list } = pairs(facts);
  const by = (how: Pair['by']): number => list.filter((pair) => pair.by === how).length;
  return {
    frames: kind,
    source,
    aim: aim && {
      middle: axisName(aim.middle),
      left: axisName(aim.left),
      right: axisName(aim.right),
    },
    up: up && axisName(up),
    upKnown,
    votes,
    voters,
    mirror: scheme,
    mirrorAgree: agree,
    mirrorPairs: judged.length,
    pairs: { byMapping: by('mapping'), byName: by('name'), byPlace: by('place') },
    symmetric: midline(facts).symmetric,
  };
}

export function reportContainer(asset: Asset, sha256: string | null): AssetReport['container'] {
  const { kind, bytes, jsonBytes: json } = asset.container;
  return { kind, bytes, sha256, json };
}
