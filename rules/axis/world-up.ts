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
import { against, arrow, limit } from '../parts.js';

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
    lean: limit(45, 'degrees', 'angle between the up axis of a level midline joint and world up'),
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
      const over = segment
        .map((joint) => {
          const axis = axisWorld(facts, joint, up);
          // World up as near as a frame that aims along its bone can come to it.
          const nearest = direction(reject(UP, aimWorld(facts, joint))) ?? UP;
          return { joint, axis, lean: angleBetween(axis, nearest) };
        })
        .filter(({ lean }) => lean > limits.lean)
        .sort((a, b) => b.lean - a.lean);
      const [worst] = over;
      if (worst === undefined) return null;
      const { joint, axis, lean } = worst;
      const from = bindPose(facts).places[joint] ?? [0, 0, 0];
      const counts = { looked: segment.length, short: over.length };
      return {
        level: 'error',
        place: { kind: 'joint', joint },
        ...against(lean, limits.lean, 'degrees'),
        joints: over.map((leaning) => leaning.joint),
        counts,
        evidence: [arrow('up axis', from, axis), arrow('world up', from, UP)],
        details: { up, joint, ...counts },
      };
    });
    return judged('segments', level.length, findings);
  },
  say: ({ details: { up, joint, short, looked }, measured, limit }, words) => ({
    message: `The up axis ${words.axis(up)} of ${words.joint(joint)} leans ${words.degrees(measured)} from world up (limit ${words.degrees(limit ?? 0)}; ${short} of ${words.count(looked, 'joint')} of its segment lean too far).`,
    remedy: `Turn these frames about their aim axes so that ${words.axis(up)} points up. Leave joints and mesh in place.`,
  }),
});

/** An aim axis steeper than this has no up side. Degrees from level. */
const STEEP_DEGREES = 45;

/** The aim axis of a joint in the world; straight up, and so not level, where it has none. */
function aimWorld(facts: Facts, joint: number): Vec3 {
  const axis = aimAxisOf(facts, joint);
  return axis === null ? UP : axisWorld(facts, joint, axis);
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
    // An idle tip at the end of a segment is not judged, but does not keep the others from it.
    const inner = segment.filter((joint) => {
      const isEnd = (facts.rig.joints.children[joint] ?? []).length === 0;
      if (isEnd || movesBelow[joint] === 0) return false;
      return Math.abs(90 - angleBetween(aimWorld(facts, joint), UP)) <= STEEP_DEGREES;
    });
    return [inner];
  });
}
