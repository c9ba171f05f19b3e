import { sameAxis } from '../../measure/facts.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { turnToConvention } from '../frames/convention.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/** Turns a rig that is laid wholly to other axes than the standard's to these. */
export const houseConvention: Repair = {
  name: 'convention',
  tells: 'A rig with other axes than the standard asks for is turned to these as a whole.',
  rules: ['axis.uniform'],
  mend(context: MendContext): Mended {
    const { aim } = context.settings.wanted;
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    for (const { rule, place, rig: index } of context.findings) {
      const rig = context.model.rigs[index ?? -1];
      if (rig === undefined || place.kind !== 'rig') continue;
      const laid = conventions({ rig, wanted: { aim: null, up: null } });
      const up = context.settings.wanted.up ?? laid.up;
      const isLaidSo = aim !== null && laid.aim !== null && sameAxis(laid.aim.middle, aim);
      const isOneAxis = aim?.index === up?.index;
      if (aim === null || up === null || (isLaidSo && !isOneAxis))
        left.push({ rule, place: place.path, why: NO_AXIS });
      else if (isOneAxis) left.push({ rule, place: place.path, why: ONE_AXIS });
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
