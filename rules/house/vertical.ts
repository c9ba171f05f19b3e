import { judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { upOfLegs } from '../../src/measure/skeleton/legs.js';
import { vectorOf } from '../../src/measure/skeleton/way.js';
import { angleBetween } from '../../src/rig/vec3.js';
import { against, limit } from '../parts.js';
import { nearestAxis, wayArrow } from './ways.js';

/** A figure that lies on its back was exported with another axis as its vertical. */
export const houseVertical = rule({
  id: 'house.vertical',
  level: 'error',
  title: 'a rig that does not stand along the vertical of the standard',
  why: 'A rig with another axis up lies on its back in every scene, and clips of the house turn it about the wrong axis.',
  formula:
    'Angle between the vertical and the sum of the ways from each foot to the top of its leg, in the bind pose. Legs are those of the VRM mapping, else limbs of three joints or more on one side with a word for a leg or foot in their names, such as thigh, shin, foot, hoof or paw.',
  remedy: 'Export with the vertical of the standard, or turn the whole rig with its clips.',
  source: 'glTF 2.0, 3.4 Coordinate System and Units (+Y is up); names: common practice',
  limits: { angle: limit(45, 'degrees', 'legs against the vertical of the standard') },
  isAsked: ({ contract }) => contract?.vertical !== undefined,
  check(facts, limits) {
    const vertical = facts.wanted.contract?.vertical;
    if (vertical === undefined) return notApplicable('the standard has no vertical');
    const up = upOfLegs(facts);
    if (up === null) return notApplicable('no two legs are told by names or by a VRM mapping');
    const angle = angleBetween(up.along, vectorOf(vertical));
    if (angle <= limits.angle) return judged('rigs', 1, []);
    return judgedAsOne('rigs', 1, {
      level: 'error',
      place: { kind: 'rig' },
      joints: up.joints,
      ...against(angle, limits.angle, 'degrees'),
      evidence: [
        wayArrow(facts, 'up of the legs', up),
        wayArrow(facts, 'vertical', { along: vectorOf(vertical) }),
      ],
      details: { vertical, stands: nearestAxis(up.along) },
    });
  },
  say: ({ measured, limit, details: { vertical, stands } }, words) => ({
    message: `The legs of the rig stand along ${words.axis(stands)}, ${words.degrees(measured)} from the vertical of the standard, ${words.axis(vertical)} (limit ${words.degrees(limit ?? 0)}).`,
    remedy: `Set ${words.axis(vertical)} as up in the export, or turn the whole rig, with its mesh, joints and clips, until it stands along ${words.axis(vertical)}.`,
  }),
});
