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
import type { RigReport } from '../report/report-types.js';
import type { Rig } from '../rig/types.js';
import type { ReportBudget } from './report-budget.js';
import type { RuleRun } from './run-rules.js';
import type { Settings } from './settings.js';

/** What a report holds of one rig, its findings aside. Throws AssetError when it has no room for it. */
export function reportRig(
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
export function reportJoint({ joints }: Rig, joint: number, measured = NOT_MEASURED): JointReport {
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
