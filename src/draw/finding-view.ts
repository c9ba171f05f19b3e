import type { FindingReport } from '../report/report-types.js';
import { cross, direction, dot, length, subtract, type Vec3 } from '../rig/vec3.js';
import type { RigShape } from './rig-shape.js';
import { isDrawable, projectDirection, VIEWS, type View } from './view.js';

/** What a picture of a finding is about: world space, the stored pose. */
type Subject = NonNullable<ReturnType<typeof subjectOf>>;

/** Null for a finding without a place that could be drawn. */
export function subjectOf({ scene, joints }: RigShape, finding: FindingReport) {
  // Evidence is taken in the bind pose: of no use where the rig is stored in another.
  const evidence = scene.posed ? [] : finding.evidence;
  const { place = null, parent = -1 } = joints[finding.place.joint ?? -1] ?? {};
  const joint = place === null ? null : finding.place.joint;
  const around = joints.flatMap((other, index) => {
    const isNear = joint !== null && (other.parent === joint || index === parent);
    return isNear && other.place !== null ? [other.place] : [];
  });
  const measured = evidence.flatMap((entry) => {
    if (entry.kind === 'line') return entry.points.filter(isDrawable);
    return entry.kind === 'point' && isDrawable(entry.at) ? [entry.at] : [];
  });
  const arrows = evidence
    .map((entry) => (entry.kind === 'arrow' ? direction(entry.along) : null))
    .filter((along) => along !== null);
  const [first, ...more] = [...(place === null ? [] : [place]), ...around, ...measured];
  if (first === undefined) return null;
  return {
    /** Null where it has none. */
    joint,
    /** What should be in the picture: the joint, then the ends of its bones, and the evidence. */
    points: [first, ...more] as const,
    /** Unit vectors that should be seen at their length. */
    arrows,
    evidence,
  };
}

/** How much the bones that a view shows count, beside the angle between two arrows. */
const BONES_COUNT = 0.1;

/**
 * The view that shows a finding best: the one that opens the angles between its arrows widest; where
 * there are none, the one that shows most of the bones' lengths.
 */
export function bestView(subject: Subject): View {
  const worth = (view: View): number =>
    angleSeen(subject, view) + BONES_COUNT * lengthSeen(subject, view);
  return VIEWS.reduce((best, view) => (worth(view) > worth(best) * (1 + 1e-9) ? view : best));
}

function angleSeen({ arrows }: Subject, { toward }: View): number {
  let sum = 0;
  arrows.forEach((arrow, index) => {
    for (const other of arrows.slice(index + 1)) sum += Math.abs(dot(cross(arrow, other), toward));
  });
  return sum;
}

/** Share of the length of arrows and bones that a view shows; an arrow counts as the longest bone. */
function lengthSeen({ points, arrows }: Subject, view: View): number {
  const [from, ...others] = points;
  const bones = others.map((to) => subtract(to, from));
  const longest = bones.reduce((far, bone) => Math.max(far, length(bone)), 0);
  let [seen, whole] = [0, 0];
  const count = (vector: Vec3, weight: number): void => {
    seen += weight * Math.hypot(...projectDirection({ view }, vector));
    whole += weight * length(vector);
  };
  for (const bone of bones) count(bone, 1);
  for (const arrow of arrows) count(arrow, longest > 0 ? longest : 1);
  return whole > 0 ? seen / whole : 0;
}
