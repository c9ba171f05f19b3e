import { findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { aimAxisOf, segments } from '../../src/measure/skeleton/chains.js';
import { conventions } from '../../src/measure/skeleton/conventions.js';
import { axisWorld } from '../../src/measure/skeleton/frames.js';
import { pairs } from '../../src/measure/skeleton/pairs.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { angleBetween, direction, reject, subtract, type Vec3 } from '../../src/rig/vec3.js';

const UP = [0, 1, 0] as const;

/** On a level spine the standard's up axis looks up: the rig's frames mean what the house says. */
export const axisWorldUp = rule({
  id: 'axis.world-up',
  level: 'error',
  title: 'an up axis that does not point up',
  why: 'A standard that names an up axis promises that a turn about it swings a level spine sideways. On another axis, the same key makes the body roll.',
  formula:
    'This is measured only with a standard that names an up axis, and only on segments of the midline that run within 45° of level. The measure is the angle between the up axis of a joint and world up, both seen along its aim axis, for joints that aim within 45° of level. Each segment has one finding, at its worst joint.',
  remedy: 'Turn the frames of the segment about their aim axes until the up axis points up.',
  source: 'common practice',
  limits: {
    lean: {
      default: 45,
      unit: 'degrees',
      tells: 'angle between the up axis of a level midline joint and world up',
    },
  },
  yieldsTo: [{ to: ['axis.aim', 'axis.uniform'], on: 'joints' }],
  check(facts, limits) {
    const { up, missed } = conventions(facts);
    if (missed !== null)
      return notApplicable('the rig has another aim axis than the standard asks for');
    if (facts.wanted.up === null || up === null)
      return notApplicable('no standard names an up axis');
    const level = levelMidlineSegments(facts);
    if (level.length === 0)
      return notApplicable('no segment of the midline runs within 45° of level');
    const findings = findingsOf(level, (segment) => {
      const leans = segment.map((joint) => ({
        joint,
        lean: angleBetween(axisWorld(facts, joint, up), upAcross(facts, joint)),
      }));
      const over = leans.filter(({ lean }) => lean > limits.lean).sort((a, b) => b.lean - a.lean);
      const worst = over[0];
      if (worst === undefined) return null;
      const from = bindPose(facts).places[worst.joint] ?? [0, 0, 0];
      const counts = { looked: leans.length, short: over.length };
      return {
        level: 'error',
        place: { kind: 'joint', joint: worst.joint },
        measured: worst.lean,
        limit: limits.lean,
        unit: 'degrees',
        joints: over.map(({ joint }) => joint),
        counts,
        evidence: [
          { kind: 'arrow', label: 'up axis', from, along: axisWorld(facts, worst.joint, up) },
          { kind: 'arrow', label: 'world up', from, along: UP },
        ],
        details: { up, joint: worst.joint, ...counts },
      };
    });
    return judged('segments', level.length, findings);
  },
  say(finding, words) {
    const { up, joint, short, looked } = finding.details;
    return {
      message: `The up axis ${words.axis(up)} of ${words.joint(joint)} leans ${words.degrees(finding.measured)} from world up (limit ${words.degrees(finding.limit ?? 0)}; ${short} of ${words.count(looked, 'joint')} of its segment lean too far).`,
      remedy: `Turn these frames about their aim axes so that ${words.axis(up)} points up. Leave joints and mesh in place.`,
    };
  },
});

/** World up as near as a frame that aims along its bone can come to it: made square to the bone. */
function upAcross(facts: Facts, joint: number): Vec3 {
  const axis = aimAxisOf(facts, joint);
  if (axis === null) return UP;
  return direction(reject(UP, axisWorld(facts, joint, axis))) ?? UP;
}

/** An aim axis steeper than this has no up side. Degrees from level. */
const STEEP_DEGREES = 45;

function runsLevel(facts: Facts, joint: number): boolean {
  const axis = aimAxisOf(facts, joint);
  const aim = axis === null ? UP : axisWorld(facts, joint, axis);
  return Math.abs(90 - angleBetween(aim, UP)) <= STEEP_DEGREES;
}

/** Segments of unpaired joints that run more level than steep; end joints are left out. */
function levelMidlineSegments(facts: Facts): number[][] {
  const { places } = bindPose(facts);
  const { side } = pairs(facts);
  const { movesBelow } = skinMass(facts);
  return segments(facts).flatMap((segment) => {
    const [first, last] = [places[segment[0] ?? -1], places[segment.at(-1) ?? -1]];
    if (segment.length < 2 || first === undefined || last === undefined) return [];
    if (segment.some((joint) => side[joint] !== null)) return [];
    const run = subtract(last, first);
    if (Math.abs(run[1]) > Math.hypot(run[0], run[2])) return [];
    return [
      // An idle tip at the end of a segment is not judged, but does not keep the others from it.
      segment.filter((joint) => {
        const inner = (facts.rig.joints.children[joint] ?? []).length > 0;
        return inner && movesBelow[joint] === 1 && runsLevel(facts, joint);
      }),
    ];
  });
}
