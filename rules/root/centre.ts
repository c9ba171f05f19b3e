import { judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { centreOfMass, centresOfMass } from '../../src/measure/geometry/centre-of-mass.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { bodyRoot, movingChildren } from '../../src/measure/skeleton/body-root.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { boxAround, diagonal } from '../../src/rig/box.js';
import { distance, type Vec3 } from '../../src/rig/vec3.js';
import { against, limit, line, point } from '../parts.js';

/** A body turns about its centre of mass: that is where animators expect the root. */
export const rootCentre = rule({
  id: 'root.centre',
  level: 'note',
  title: 'body root far from the centre of mass',
  why: 'A body in the air turns about its centre of mass. When the root is elsewhere, animators must correct every jump and tumble by hand.',
  formula:
    'The distance in the bind pose from the body root to the centre of mass of the mesh (of its volume if it is closed, else of its surface), relative to size. Carriers above the body root do not count. A single chain is not judged, nor is a rig whose joints reach 1.5 times as far as its mesh. Where the asset maps its hips (VRM) and they carry over 80 % of the skin, they are the body root.',
  remedy:
    'Move the body root to the middle of the body (the hips of a biped), or start the chains from a joint that is there.',
  source: 'common practice',
  limits: { distance: limit(45, '% of size', 'body root to centre of mass') },
  yieldsTo: [{ to: ['chain.direction', 'chain.parent'], on: 'rig' }],
  check(facts, limits) {
    const { joint, massBelow, tops } = bodyRoot(facts);
    if (joint === -1 || !skinMass(facts).hasMesh) return notApplicable('the rig moves no mesh');
    const extent = size(facts);
    const { volume, surface } = centresOfMass(facts);
    if (surface === null || !(extent > 0))
      return notApplicable('the mesh has no area, and so no centre');
    if (!branches(facts, joint))
      return notApplicable('the rig is a single chain: a rope, a tail, a pole');
    const { places } = bindPose(facts);
    const { movesBelow } = skinMass(facts);
    const moving = places.filter((_, at) => movesBelow[at] === 1);
    if (diagonal(boxAround(moving)) > MOST_REACH * extent)
      return notApplicable('the joints reach far past the mesh, which is only part of a body');
    const total = tops.reduce((sum, top) => sum + (massBelow[top] ?? 0), 0);
    if ((massBelow[joint] ?? 0) * 2 < total)
      return notApplicable('no one root carries most of the skin');
    const place = places[joint] ?? surface;
    const away = (from: Vec3): number => (100 * distance(place, from)) / extent;
    // A root near both centres is near the right one, whichever that is.
    const near =
      away(surface) <= limits.distance && (volume === null || away(volume) <= limits.distance);
    const centre = near ? null : centreOfMass(facts);
    const percent = centre === null ? 0 : away(centre.place);
    if (centre === null || percent <= limits.distance) return judged('joints', 1, []);
    return judgedAsOne('joints', 1, {
      level: 'note',
      place: { kind: 'joint', joint },
      ...against(percent, limits.distance, '% of size'),
      evidence: [point('centre of mass', centre.place), line('distance', [place, centre.place])],
      details: { joint, of: centre.of },
    });
  },
  say: ({ details: { joint, of }, measured, limit }, words) => ({
    message: `The body root ${words.joint(joint)} is ${words.ofSize(measured)} away from the centre of mass of the ${of} (limit ${limit} %).`,
    remedy:
      'Move the body root to the middle of the body, or start the chains from the joint that is nearest to it.',
  }),
});

/** Joints that span more than this many times the mesh belong to more than the mesh shows. */
const MOST_REACH = 1.5;

/** Whether the skin-moving tree below a joint branches anywhere. */
function branches(facts: Facts, top: number): boolean {
  for (let joint = top; joint !== -1; ) {
    const below = movingChildren(facts, joint);
    if (below.length > 1) return true;
    joint = below[0] ?? -1;
  }
  return false;
}
