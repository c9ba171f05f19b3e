import { WORLD_FOLLOWS } from './following.js';
import type { Steps } from './steps.js';

/** What to do where a house's standard asks for something, and about files. */
export const houseSteps: Steps = {
  'house.required': [
    'The finding lists the names that the house asks for and that no joint has.',
    'If the part is there under another name: rename it, letter for letter.',
    'If the part is missing: add the joint, aim it, and bind its skin.',
  ],
  'house.forbidden': [
    'The finding lists joints whose names the house forbids, such as ctrl_*.',
    'If the joint is a control or a helper: leave it out of the export.',
    'If it is a part of the body: give it a name of the body, such as tail_mid.',
  ],
  'house.joints': [
    'The finding says how many joints the rig has, and how many the house allows.',
    'First leave out joints that move nothing ([skin.idle]).',
    'Then join neighbours that bend alike: give the weights of one to the other, and remove it.',
  ],
  'house.names': [
    'The finding shows the pattern of the house and the names that do not follow it.',
    'Take the name apart: word, number, side. Put the parts together as the pattern has them: neck2 becomes neck_2.',
    'Do so for each name listed, on both sides.',
  ],
  'house.height': [
    'The finding gives the height of the rig, and the range of the house.',
    'If it is 100 times too large or too small, set the unit of the export.',
    'Else scale mesh, joints and travel keys together, before binding, and leave every scale at 1 ([scale.unit]).',
  ],
  'house.vertical': [
    'The finding says along which axis the legs stand, and which axis the house wants as vertical.',
    'Set the vertical of the export (+Y in glTF), and export again.',
    'Or turn mesh, joints and clips together by 90°, and leave no turn on a holder ([rest.holder]). Less than {angle} may be left.',
    WORLD_FOLLOWS,
  ],
  'house.facing': [
    'The finding says to which side the rig faces, and to which the house wants it to.',
    'First look whether left and right are named wrongly ([name.side]): that looks the same to a measure.',
    'Else turn mesh, joints and clips together (180° for a rig that looks away), and leave no turn on a holder ([rest.holder]).',
    WORLD_FOLLOWS,
  ],
  'house.clip-required': [
    'The finding lists the clips that the house asks for.',
    'If the clip is in the file under another name, rename it.',
    'If it was not exported, add it to the export. Check that it is on the list of clips of your program.',
  ],
  'house.clip-names': [
    'The finding lists clips with names that the house does not know, such as take 1.',
    'Name them as the standard asks. Leave tests and old takes out of the export.',
  ],
  'house.clip-rate': [
    'The finding names the clip, the key and how far it is from a whole frame.',
    'Set the rate of the scene to that of the house, such as 30 frames a second.',
    'Move all keys to whole frames (snap them), and export at that rate. Less than {off} may be left.',
  ],
  'house.clips': [
    'The finding says how many clips are in the file, and how many the house allows.',
    'Leave old takes and tests out of the export.',
  ],
  'file.no-skin': [
    'The file has a mesh, but no skin: no joint moves it.',
    'Check that the mesh is bound to its joints.',
    'Export mesh and joints together, with skins switched on.',
  ],
};
