import { judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Axis } from '../../src/measure/facts.js';
import { frontOf, leftOfPairs } from '../../src/measure/skeleton/front.js';
import { vectorOf } from '../../src/measure/skeleton/way.js';
import { angleBetween } from '../../src/rig/vec3.js';
import { against, limit } from '../parts.js';
import { nearestAxis, wayArrow } from './ways.js';

/** Up where a standard has no vertical: +Y (glTF 2.0, 3.4). */
const PLAIN_UP: Axis = { index: 1, sign: 1 };

/** A figure that looks away walks backwards in every scene. */
export const houseFacing = rule({
  id: 'house.facing',
  level: 'error',
  title: 'a rig that does not face as the standard asks',
  why: 'A rig that looks the other way walks backwards, and cameras, sockets and clips of the house come from the wrong side.',
  formula:
    'Angle between the facing of the standard and left × up in the bind pose. Left is the sum of the ways from each right joint to its left partner, paired by VRM mapping or name. Up is the axis of the world that the legs stand along, else the vertical of the standard, else +Y.',
  remedy:
    'Turn the whole rig with its mesh, joints and clips, or swap sides that are named wrongly.',
  source: 'glTF 2.0, 3.4 Coordinate System and Units (+Z is the front); left × up: common practice',
  limits: { angle: limit(45, 'degrees', 'front of the rig against the facing of the standard') },
  // A rig that lies on its back faces elsewhere for that reason.
  yieldsTo: [{ to: ['house.vertical'], on: 'rig' }],
  isAsked: ({ contract }) => contract?.facing !== undefined,
  check(facts, limits) {
    const { facing, vertical = PLAIN_UP } = facts.wanted.contract ?? {};
    if (facing === undefined) return notApplicable('the standard has no facing');
    if (leftOfPairs(facts) === null)
      return notApplicable('no names or VRM mapping tell left from right');
    const front = frontOf(facts, vertical);
    if (front === null)
      return notApplicable('left and right joints lie above each other, so no front can be told');
    const angle = angleBetween(front.along, vectorOf(facing));
    if (angle <= limits.angle) return judged('rigs', 1, []);
    return judgedAsOne('rigs', 1, {
      level: 'error',
      place: { kind: 'rig' },
      joints: front.joints,
      ...against(angle, limits.angle, 'degrees'),
      evidence: [
        wayArrow(facts, 'front', front),
        wayArrow(facts, 'facing', { along: vectorOf(facing) }),
      ],
      details: { facing, faces: nearestAxis(front.along) },
    });
  },
  say: ({ measured, limit, details: { facing, faces } }, words) => ({
    message: `By its left and right joints the rig faces ${words.axis(faces)}, ${words.degrees(measured)} from the facing of the standard, ${words.axis(facing)} (limit ${words.degrees(limit ?? 0)}).`,
    remedy: `Turn the whole rig, with its mesh, joints and clips, until it faces ${words.axis(facing)}. If it does already, its sides are named the wrong way round: swap them.`,
  }),
  consequence: ({ details: { facing, faces } }, words) =>
    `the rig faces ${words.axis(faces)}, where the standard asks for ${words.axis(facing)}`,
});
