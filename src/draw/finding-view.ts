import type { EvidenceReport, FindingReport } from '../report/report-types.js';
import { cross, direction, dot, subtract, type Vec3 } from '../rig/vec3.js';
import type { RigShape } from './rig-shape.js';
import { isDrawable, projectDirection, VIEWS, type View } from './view.js';

/** What a picture of a finding is about: world space, the stored pose. */
export interface Subject {
  /** Joint of the finding; null where it has none. */
  readonly joint: number | null;
  /** What should be in the picture: the joint first, ends of the bones around it, and the evidence. */
  readonly points: readonly [Vec3, ...Vec3[]];
  /** Unit vectors that should be seen at their length. */
  readonly arrows: readonly Vec3[];
  /** Taken in the bind pose: empty where the rig is stored in another. */
  readonly evidence: readonly EvidenceReport[];
}

/** Null for a finding without a place that could be drawn. */
export function subjectOf({ scene, joints }: RigShape, finding: FindingReport): Subject | null {
  const evidence = scene.posed ? [] : finding.evidence;
  const points: Vec3[] = [];
  const arrows: Vec3[] = [];
  const { joint } = finding.place;
  const place = joint === null ? null : (joints[joint]?.place ?? null);
  if (place !== null) {
    points.push(place);
    joints.forEach((other, index) => {
      const near = other.parent === joint || joints[joint ?? -1]?.parent === index;
      if (near && other.place !== null) points.push(other.place);
    });
  }
  for (const item of evidence) {
    if (item.kind === 'line') points.push(...item.points.filter(isDrawable));
    else if (item.kind === 'point' && isDrawable(item.at)) points.push(item.at);
    else if (item.kind === 'arrow') {
      const along = direction(item.along);
      if (along !== null) arrows.push(along);
    }
  }
  const [first, ...more] = points;
  if (first === undefined) return null;
  return { joint: place === null ? null : joint, points: [first, ...more], arrows, evidence };
}

/** How much a view is liked for the bones it shows, beside the angle between two arrows. */
const BONES_COUNT = 0.1;

/**
 * The view that shows a finding best: the one that opens the angles between its arrows widest; where
 * there are none, the one that shows most of the bones' lengths.
 */
export function bestView(subject: Subject): View {
  let best = VIEWS[0];
  let most = -1;
  for (const view of VIEWS) {
    const own = angleSeen(subject, view) + BONES_COUNT * lengthSeen(subject, view);
    if (own > most * (1 + 1e-9)) [best, most] = [view, own];
  }
  return best;
}

function angleSeen({ arrows }: Subject, { toward }: View): number {
  let sum = 0;
  arrows.forEach((arrow, at) => {
    for (const other of arrows.slice(at + 1)) sum += Math.abs(dot(cross(arrow, other), toward));
  });
  return sum;
}

/** Share of the length of arrows and bones that a view shows, 0 to 1. */
function lengthSeen({ points, arrows }: Subject, view: View): number {
  const [from, ...others] = points;
  const bones = others.map((to) => subtract(to, from));
  let [seen, whole] = [0, 0];
  const longest = bones.reduce((far, bone) => Math.max(far, Math.hypot(...bone)), 0);
  const arrowLength = longest > 0 ? longest : 1;
  for (const [vector, length] of [
    ...bones.map((bone) => [bone, 1] as const),
    ...arrows.map((arrow) => [arrow, arrowLength] as const),
  ]) {
    seen += length * Math.hypot(...projectDirection({ view }, vector));
    whole += length * Math.hypot(...vector);
  }
  return whole > 0 ? seen / whole : 0;
}
