import {
  type Judged,
  judged,
  judgedAsOne,
  type NotApplicable,
  notApplicable,
  type Place,
} from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import {
  type StrayChannels,
  strayChannels,
  strayChannelsOf,
} from '../../src/measure/fit/clip-strays.js';
import { against, limit, mostWords } from '../parts.js';
import { causeWords, quotedNames } from './clip-words.js';

/** A channel that finds no node poses nothing: nobody is told, and the limb stands still on stage. */
export const fitClip = rule({
  id: 'fit.clip',
  level: 'error',
  title: 'channels of clips that find no joint in the rig they are for',
  why: 'Clips are carried to another file by the names of the nodes that they pose. A channel whose name is not there poses nothing, without a word: the limb stands still.',
  formula:
    'Each channel of the clips of the approved asset and of the library looks for a node of the rig with the same path, else with the same name. Joints that the rig lacks or calls otherwise are told by fit.missing; what is left are nodes between, above and below joints. A file of clips without a rig is asked the other way round: its own channels look for nodes of the approved rig. Left out are nodes outside of the rig (cameras, props), and channels that leave such a node as it is stored.',
  remedy: 'Give the joints the names that the clips have, or export the clips for this rig.',
  source: 'common practice; what a channel targets is in glTF 2.0, 3.11 Animations',
  limits: { channels: limit(0, 'channels', 'channels that find no node') },
  onApproved: true,
  check(facts, limits) {
    const strays = strayChannels(facts);
    if (strays === null) return notApplicable('the approved asset has no rig for this one');
    return judge(strays, limits.channels, { kind: 'rig' });
  },
  withoutRig(model, limits, approved) {
    const strays = approved && strayChannelsOf(model, approved);
    if (strays === null) return notApplicable('the approved asset has no rig');
    return judge(strays, limits.channels, { kind: 'asset' });
  },
  say({ details, place, limit }) {
    const { looked, short, clips, names } = details;
    const who = place.kind === 'asset' ? 'the approved rig' : 'this rig';
    const channels = looked === 1 ? 'channel' : 'channels';
    const pose = short === 1 ? 'poses' : 'pose';
    const what = names.length === 1 ? 'a node' : 'nodes';
    return {
      message: `${short} of ${looked} ${channels} (${mostWords(limit)}) of the ${clips.length === 1 ? 'clip' : 'clips'} ${quotedNames(clips)} ${pose} ${what} that ${who} does not have: ${quotedNames(names)}.${causeWords(details)}`,
      remedy:
        place.kind === 'asset'
          ? 'Give what the clips pose the names that the approved rig has, or export the clips from that rig.'
          : 'Export the rig with the nodes that the clips pose, under the same names.',
    };
  },
});

function judge(
  strays: StrayChannels,
  most: number,
  place: Place,
): Judged<StrayChannels> | NotApplicable {
  const { looked, short } = strays;
  if (looked === 0) return notApplicable('there is no clip that poses the rig');
  if (short <= most) return judged('channels', looked, []);
  const finding = {
    level: 'error',
    place,
    ...against(short, most, 'channels'),
    counts: { looked, short },
    details: strays,
  } as const;
  return { ...judgedAsOne('channels', looked, finding), short };
}
