import type { Asset } from '../asset/load-asset.js';
import type { Evidence, Finding, Judged, NotApplicable, Place } from '../kit/finding.js';
import type { Rule, Said } from '../kit/rule.js';
import { type Words, wordsFor } from '../kit/words.js';
import { bendLab } from '../measure/bend/bend-lab.js';
import { axisName, type Facts } from '../measure/facts.js';
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
import type {
  AssetReport,
  BendReport,
  ConventionsReport,
  FaultPlaceReport,
  FindingReport,
  MeasuredReport,
  PlaceReport,
  RigReport,
} from '../report/report-types.js';
import { nodePath } from '../rig/node-name.js';
import type { Rig, RigModel } from '../rig/types.js';
import { gatherNodes } from './gather-nodes.js';
import { ReportBudget } from './report-budget.js';
import { type RuleRun, runRules } from './run-rules.js';
import { limitsOf, rulesToRun, type Settings } from './settings.js';
import { countLevels, isUnsound } from './verdict.js';

/**
 * Checks the rigs of one asset. Order is made here: rig, joint, rule. Throws AssetError when there is
 * more to tell than a report takes of one asset.
 */
export function reportRigs(
  model: RigModel,
  settings: Settings,
  watch = new Stopwatch(),
): Pick<AssetReport, 'rigs' | 'findings' | 'counts' | 'verdict'> {
  const budget = new ReportBudget();
  const rigs: RigReport[] = [];
  const findings: FindingReport[] = [...reportAsset(model, settings, watch, budget)];
  for (const rig of model.rigs) {
    const facts: Facts = { rig, wanted: settings.wanted };
    const words = wordsFor(rig, size(facts), settings.unit);
    const { standing, runs } = runRules(facts, settings, words, watch);
    rigs.push(reportRig(facts, runs, settings, budget));
    const outcomes = new Map(runs.map(({ rule, outcome }) => [rule, outcome]));
    const own = standing.map(({ rule, finding, consequences, insteadOf }) => {
      const said = rule.say(finding, words);
      const report = reportFinding(rig, settings, rule, finding, said, consequences);
      const all = insteadOf.length === 0 ? report : { ...report, insteadOf };
      return budget.take('findings', withCounts(all, outcomes.get(rule)));
    });
    for (const finding of own.sort((a, b) => orderOf(a) - orderOf(b))) findings.push(finding);
  }
  const identities = new Identities();
  const told = gatherNodes(findings).map((finding) => {
    const rig = rigs[finding.rig ?? -1]?.name ?? null;
    return { ...finding, identity: identities.next({ ...finding, rig }) };
  });
  const counts = countLevels(told);
  const verdict = isUnsound(counts, settings.failing) ? 'unsound' : 'sound';
  return { rigs, findings: told, counts, verdict };
}

/** Findings stand in joint order; those about the rig, its nodes and meshes before. The sort is stable. */
function orderOf(finding: FindingReport): number {
  return finding.place.joint ?? -1;
}

function reportAsset(
  model: RigModel,
  settings: Settings,
  watch: Stopwatch,
  budget: ReportBudget,
): FindingReport[] {
  return rulesToRun(settings).flatMap((rule) => {
    if (rule.scope !== 'asset') return [];
    const outcome = watch.rule(null, rule.id, () =>
      rule.checkAsset(model, limitsOf(settings, rule)),
    );
    if (outcome.kind !== 'judged') return [];
    return outcome.findings.map((finding) => {
      const said = rule.say(finding, NO_WORDS);
      const report = reportFinding(null, settings, rule, finding, said, []);
      return budget.take('findings', withCounts(report, outcome));
    });
  });
}

/** A rule about assets has no joints to name. */
const NO_WORDS: Words = wordsFor(
  // An empty rig, so that words about an asset can be asked for like any others.
  { joints: { names: [] }, nodes: { names: [] }, parts: [] } as unknown as Rig,
  0,
  'm',
);

function reportFinding(
  rig: Rig | null,
  settings: Settings,
  rule: Rule,
  finding: Finding,
  said: Said,
  consequences: readonly string[],
): FindingReport {
  const level = settings.levels.get(rule.id);
  const also = (finding.also ?? []).filter(({ measured }) => Number.isFinite(measured));
  const place = reportPlace(rig, finding.place);
  const anchor = finding.anchor === undefined ? null : reportPlace(rig, finding.anchor);
  const known = anchor ?? (finding.places === undefined ? place : reportPlace(rig, RIG));
  return {
    identity: '',
    rule: rule.id,
    level: level === undefined || level === 'none' ? finding.level : level,
    rig: rig === null ? null : rig.index,
    anchor: { kind: known.kind, path: known.path },
    aspect: finding.aspect ?? null,
    place,
    places: reportPlaces(rig, finding),
    message: said.message,
    remedy: said.remedy,
    measured: finite(finding.measured),
    limit: finding.limit,
    unit: finding.unit,
    ...(also.length > 0 && { also }),
    counts: finding.counts ?? null,
    vertices: finding.vertices ?? [],
    consequences,
    evidence: (finding.evidence ?? []).filter(isFiniteEvidence),
  };
}

/** A finding about one thing counts as its rule does: how many were looked at, and how many fell short. */
function withCounts(
  finding: FindingReport,
  outcome: Judged | NotApplicable | undefined,
): FindingReport {
  if (finding.counts !== null || outcome?.kind !== 'judged') return finding;
  return { ...finding, counts: { looked: outcome.looked, short: outcome.short } };
}

function isFiniteEvidence(evidence: Evidence): boolean {
  const numbers =
    evidence.kind === 'line'
      ? evidence.points.flat()
      : evidence.kind === 'arrow'
        ? [...evidence.from, ...evidence.along]
        : evidence.at;
  return numbers.every(Number.isFinite);
}

/** A list that is longer helps nobody: the counts tell how many there are. */
const MOST_PLACES = 1000;

function reportPlaces(
  rig: Rig | null,
  { place, places = [], measured, measures }: Finding,
): FaultPlaceReport[] {
  const all = places.length === 0 ? [place] : places.slice(0, MOST_PLACES);
  return all.map((item, at) => {
    const own = measures?.[at] ?? (all.length === 1 ? measured : NaN);
    return { ...reportPlace(rig, item), ...(Number.isFinite(own) && { measured: own }) };
  });
}

const RIG: Place = { kind: 'rig' };

function finite(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

function reportPlace(rig: Rig | null, place: Place): PlaceReport {
  if (rig === null || place.kind === 'asset') {
    return { kind: 'asset', name: 'asset', path: '', joint: null, node: null, pointer: '' };
  }
  switch (place.kind) {
    case 'joint': {
      const node = rig.joints.node[place.joint] ?? 0;
      const path = rig.joints.paths[place.joint] ?? '';
      return {
        kind: 'joint',
        name: rig.joints.names[place.joint] ?? '',
        path,
        joint: place.joint,
        node,
        pointer: `/nodes/${node}`,
      };
    }
    case 'node': {
      const path = nodePath(rig.nodes, place.node);
      return {
        kind: 'node',
        name: path.at(-1) ?? '',
        path: path.join('/'),
        joint: null,
        node: place.node,
        pointer: `/nodes/${place.node}`,
      };
    }
    case 'part': {
      const part = rig.parts[place.part];
      const name = part?.label ?? 'mesh';
      const path =
        part !== undefined && part.primitive > 0 ? `${name}/primitive ${part.primitive + 1}` : name;
      const pointer = `/meshes/${part?.mesh ?? 0}/primitives/${part?.primitive ?? 0}`;
      return { kind: 'mesh', name, path, joint: null, node: part?.node ?? null, pointer };
    }
    case 'skin': {
      const skin = rig.skins[place.skin];
      const name = skin?.name ?? rig.name;
      return {
        kind: 'skin',
        name,
        path: name,
        joint: null,
        node: null,
        pointer: `/skins/${skin?.index ?? 0}`,
      };
    }
    case 'rig':
      return {
        kind: 'rig',
        name: rig.name,
        path: rig.name,
        joint: null,
        node: null,
        pointer: `/skins/${rig.skins[0]?.index ?? 0}`,
      };
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
  const { moves, ofJoint } = skinMass(facts);
  const total = ofJoint.reduce((sum, mass) => sum + mass, 0);
  const { joint: root, mapped } = bodyRoot(facts);
  const joints = rig.joints.names.map((name, joint) =>
    budget.take('joints', {
      name,
      path: rig.joints.paths[joint] ?? name,
      parent: rig.joints.parent[joint] ?? -1,
      node: rig.joints.node[joint] ?? 0,
      place: places[joint] ?? [0, 0, 0],
      movesSkin: moves[joint] === 1,
      skinShare: total > 0 ? (ofJoint[joint] ?? 0) / total : 0,
    }),
  );
  const rest = budget.take('rigs', {
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
    measured: runs.map(({ rule, outcome }): MeasuredReport => {
      if (outcome.kind === 'not applicable')
        return { rule: rule.id, kind: outcome.kind, because: outcome.because };
      return {
        rule: rule.id,
        kind: 'judged',
        looked: outcome.looked,
        short: outcome.short,
        elsewhere: outcome.elsewhere ?? 0,
        of: outcome.of,
      };
    }),
  });
  return { ...rest, joints };
}

/** Every joint's worst bend, the worst first; null when the run asks for none. */
function reportBends(facts: Facts, { motion }: Settings): BendReport[] | null {
  if (!motion || !skinMass(facts).hasMesh) return null;
  const bends = bendLab(facts).joints.map(({ joint, worst, triangles }) => ({
    joint,
    axis: `${worst.sign > 0 ? '+' : '-'}${worst.axis}`,
    volumeKept: worst.volumeKept,
    triangles,
    inverted: worst.inverted,
    stretch: worst.stretch,
  }));
  return bends.sort((a, b) => (a.volumeKept ?? Infinity) - (b.volumeKept ?? Infinity));
}

function reportConventions(facts: Facts): ConventionsReport {
  const found = conventions(facts);
  const { scheme, agree, pairs: judged } = mirror(facts);
  const { list } = pairs(facts);
  const by = (how: Pair['by']): number => list.filter((pair) => pair.by === how).length;
  return {
    frames: found.kind,
    source: found.source,
    aim:
      found.aim === null
        ? null
        : {
            middle: axisName(found.aim.middle),
            left: axisName(found.aim.left),
            right: axisName(found.aim.right),
          },
    up: found.up === null ? null : axisName(found.up),
    upKnown: found.upKnown,
    votes: found.votes,
    voters: found.voters,
    mirror: scheme,
    mirrorAgree: agree,
    mirrorPairs: judged.length,
    pairs: { byMapping: by('mapping'), byName: by('name'), byPlace: by('place') },
    symmetric: midline(facts).symmetric,
  };
}

/** What a report says of an asset's container. */
export function reportContainer(asset: Asset, sha256: string | null): AssetReport['container'] {
  const { kind, bytes, jsonBytes } = asset.container;
  return { kind, bytes, sha256, json: jsonBytes };
}
