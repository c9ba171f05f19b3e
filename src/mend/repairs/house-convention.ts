import { type Facts, sameAxis } from '../../measure/facts.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { turnToConvention } from '../frames/convention.js';
import type { LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/** Turns a rig that is laid wholly to other axes than the standard's to these. */
export const houseConvention: Repair = {
  name: 'convention',
  tells: 'A rig with other axes than the standard asks for is turned to these as a whole.',
  rules: ['axis.uniform'],
  mend(context: MendContext): Mended {
    const { model, findings, settings } = context;
    const whole = findings.filter(({ place }) => place.kind === 'rig');
    const left: LeftAlone[] = [];
    const changes: Mended['changes'][number][] = [];
    for (const { rule, place, rig: index } of whole) {
      const rig = model.rigs[index ?? -1];
      if (rig === undefined) continue;
      const facts: Facts = { rig, wanted: { aim: null, up: null } };
      const own = conventions(facts);
      const aim = settings.wanted.aim ?? own.aim?.middle;
      const up = settings.wanted.up ?? own.up;
      if (settings.wanted.aim === null || aim == null || up == null)
        left.push({ rule, place: place.path, why: NO_AXIS });
      else if (aim.index === up.index) left.push({ rule, place: place.path, why: ONE_AXIS });
      else if (own.aim !== null && sameAxis(own.aim.middle, aim))
        left.push({ rule, place: place.path, why: NO_AXIS });
      else {
        const turned = turnToConvention(context, aim, up, new Set([rig.index]));
        changes.push(...turned.changes);
        left.push(...turned.left);
      }
    }
    return { changes, left };
  },
};

const NO_AXIS =
  'its joints have no common aim axis; name the axes in the conventions of a standard, or turn the frames in the program where the rig is built';

const ONE_AXIS =
  "the standard asks for an aim axis that is the up axis of this rig; name the up axis, too, in the standard's conventions";
