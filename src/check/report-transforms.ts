import { axisName, type Facts } from '../measure/facts.js';
import { bindPose } from '../measure/pose/bind-pose.js';
import { clipTimes, keyTimes } from '../measure/pose/key-times.js';
import { aims } from '../measure/skeleton/aim.js';
import { aimAxisOf } from '../measure/skeleton/chains.js';
import { conventions } from '../measure/skeleton/conventions.js';
import type { ClipReport, JointTransforms, LocalTransform } from '../report/transforms-report.js';
import { mat4At } from '../rig/mat4.js';
import type { Clip, NodeTable, Rig } from '../rig/types.js';
import type { ReportBudget } from './report-budget.js';

/** What a report tells of a rig only where it is asked for: it makes most reports two to three times as long. */
export interface RigTransforms {
  /** For each joint. */
  readonly joints: readonly JointTransforms[];
  readonly clipList: readonly ClipReport[];
}

/**
 * What else a program needs to pose the rig as its maker did: where its joints stand in the bind pose and
 * at rest, their frames, its clips. Throws AssetError where the budget has no room for it.
 */
export function transformsOf(facts: Facts, budget: ReportBudget): RigTransforms {
  const { rig } = facts;
  const { world: bound } = bindPose(facts);
  const up = conventions(facts).up;
  const aimOf = new Map(aims(facts).map((aim) => [aim.joint, aim]));
  const joints = Array.from(rig.joints.node, (node, joint): JointTransforms => {
    const axis = aimAxisOf(facts, joint);
    const aim = aimOf.get(joint);
    return budget.take('transforms', {
      bind: Array.from(mat4At(bound, joint)),
      rest: Array.from(mat4At(rig.nodes.world, node)),
      local: localOf(rig.nodes, node),
      frame: {
        aim: axis && axisName(axis),
        up: up && axisName(up),
        aimJoint: aim?.target ?? null,
        miss: aim?.miss ?? null,
      },
    });
  });
  return { joints, clipList: rig.clips.map((clip) => reportClip(rig, clip, budget)) };
}

function localOf(nodes: NodeTable, node: number): LocalTransform {
  const part = (all: Float64Array, size: number, at: number): number => all[size * node + at] ?? 0;
  const { translation: t, rotation: r, scale: s } = nodes;
  return {
    translation: [part(t, 3, 0), part(t, 3, 1), part(t, 3, 2)],
    rotation: [part(r, 4, 0), part(r, 4, 1), part(r, 4, 2), part(r, 4, 3)],
    scale: [part(s, 3, 0), part(s, 3, 1), part(s, 3, 2)],
  };
}

/** Channel by channel against the budget: a small file can have very many of them. */
function reportClip({ joints }: Rig, clip: Clip, budget: ReportBudget): ClipReport {
  const { index, name } = clip;
  const channels = clip.channels.map(({ node, path, interpolation, times }) => {
    const joint = joints.ofNode[node] ?? -1;
    const where = { node, joint: joint === -1 ? null : joint };
    return budget.take('clips', { ...where, path, interpolation, ...keyTimes(times) });
  });
  return { ...budget.take('clips', { index, name, ...clipTimes(clip.channels) }), channels };
}
