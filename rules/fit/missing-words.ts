import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { OtherNames } from '../../src/measure/fit/other-names.js';
import { heldTo } from './with-approved.js';

/** What is missing, or has another name. Names of the approved rig are as messages give them. */
export type MissingDetails =
  | {
      readonly kind: keyof OtherNames;
      readonly joints: readonly { readonly joint: number; readonly wanted: string }[];
    }
  | {
      readonly kind: 'branch';
      /** The topmost missing joints, left and right of one another where there are two. */
      readonly tops: string;
      readonly several: boolean;
      /** How many joints below them are missing, too. */
      readonly more: number;
      /** Whether no joint at all was found. */
      readonly all: boolean;
      /** The joint of this rig that they should hang on, -1 for none. */
      readonly on: number;
      readonly posed: number;
      readonly moving: number;
    }
  | {
      readonly kind: 'rig';
      readonly name: string;
      readonly count: number;
      readonly asset: string;
      readonly own: string;
    }
  | {
      readonly kind: 'nothing';
      readonly count: number;
      readonly asset: string;
      /** Whether clips were all that was asked for. */
      readonly clipsAlone: boolean;
    };

/** Names that a message lists with what they should be. */
const LISTED = 3;

export function missingWords(details: MissingDetails, limit: number, words: Words): Said {
  if (details.kind === 'nothing' && details.clipsAlone)
    return {
      message: `This file has no clip, so nothing in it poses the approved asset ${details.asset}.`,
      remedy:
        'Leave the file out of --clips. To compare a rig in it, name the file without --clips.',
    };
  if (details.kind === 'nothing')
    return {
      message: `This file has no rig and no clip: none of the ${details.count} joints of the approved asset ${details.asset} is in it.`,
      remedy: 'Export the rig with its skin, or the clips that are for it.',
    };
  const held = heldTo(limit, words);
  switch (details.kind) {
    case 'rig':
      return {
        message: `No rig here answers to the rig "${details.name}" of the approved asset ${details.asset}, which has ${words.count(details.count, 'joint')}${held}.`,
        remedy: `Add the rig "${details.name}" to the export, or give its joints the approved names.`,
      };
    case 'branch':
      return branchWords(details, held, words);
    default:
      return nameWords(details, held, words);
  }
}

function branchWords(
  { tops, several, more, all, on, posed, moving }: MissingDetails & { kind: 'branch' },
  held: string,
  words: Words,
): Said {
  if (all)
    return {
      message: `No joint of the approved rig is in this rig, by name or by place${held}.`,
      remedy:
        'Check that this is the rig that was to be compared. If it is, give its joints the names of the approved rig.',
    };
  const one = !several && more === 0;
  const below = more > 0 ? `, with ${words.count(more, 'joint')} below` : '';
  const uses = [
    posed > 0 ? (one ? 'clips pose it' : `clips pose ${posed} of them`) : '',
    moving > 0 ? (one ? 'it moves skin there' : `${moving} of them move skin there`) : '',
  ].filter((text) => text !== '');
  const used =
    uses.length === 0
      ? `no clip poses ${one ? 'it' : 'them'} and ${one ? 'it moves' : 'they move'} no skin there`
      : uses.join(' and ');
  const where = on === -1 || several ? '' : ` under ${words.joint(on)}`;
  return {
    message: `This rig lacks ${tops} of the approved rig${below}; ${used}${held}.`,
    remedy: `Add ${one ? 'it' : 'them'}${where} as in the approved rig, or give the ${one ? 'joint that stands for it its name' : 'joints that stand for them their names'}.`,
  };
}

function nameWords(
  { kind, joints }: MissingDetails & { kind: keyof OtherNames },
  held: string,
  words: Words,
): Said {
  const one = joints.length === 1;
  const more = joints.length - LISTED;
  const list = joints
    .slice(0, LISTED)
    .map(({ joint, wanted }) =>
      kind === 'stands'
        ? `${words.joint(joint)} in that of ${wanted}`
        : kind === 'exchanged'
          ? `${words.joint(joint)} stands where ${wanted} belongs`
          : `${words.joint(joint)} is ${wanted} there`,
    )
    .join(', ');
  const listed = more > 0 ? `${list} and ${more} more` : list;
  const rename = one
    ? `Rename ${words.joint(joints[0]?.joint ?? -1)} to ${joints[0]?.wanted}.`
    : 'Give these joints the names that they have in the approved rig.';
  switch (kind) {
    case 'exchanged':
      return {
        message: `Left and right have each other's names: ${listed}${held}.`,
        remedy: 'Exchange the names of left and right in these joints.',
      };
    case 'stands':
      return {
        message: `This rig lacks ${words.count(joints.length, 'joint')} of the approved rig, and ${one ? 'another joint stands in its place' : 'other joints stand in their places'}: ${listed}${held}.`,
        remedy: `${rename.slice(0, -1)}, if ${one ? 'it was' : 'they were'} renamed.`,
      };
    default:
      return {
        message: `${words.count(joints.length, 'joint')} ${one ? 'has' : 'have'} another name than in the approved rig: ${listed}${held}.`,
        remedy: rename,
      };
  }
}
