import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';

/** Gives an asset a humanoid mapping from bones to nodes, as VRM 1.0 or 0.x writes it. */
export function mapBones(
  bones: Readonly<Record<string, number>>,
  version: '1.0' | '0.x' = '1.0',
): (json: GltfJson) => void {
  const entries = Object.entries(bones);
  const humanBones =
    version === '1.0'
      ? Object.fromEntries(entries.map(([bone, node]) => [bone, { node }]))
      : entries.map(([bone, node]) => ({ bone, node }));
  return (json) => {
    json.extensions = { [version === '1.0' ? 'VRMC_vrm' : 'VRM']: { humanoid: { humanBones } } };
  };
}

const STUFF = ['paper', 'wax', 'brass', 'velvet', 'cedar', 'horn', 'twine', 'gauze'];
const THINGS = ['wick', 'knob', 'peg', 'pin', 'cap', 'ring', 'fold', 'bead'];

/**
 * Renames every joint to words that tell neither side nor part of the body.
 *
 * @returns The kit's name of each new name.
 */
export function renameToNothing(puppet: Puppet): Map<string, string> {
  const known = new Map<string, string>();
  puppet.joints.forEach((joint, index) => {
    const [stuff, thing] = [STUFF[index % 8], THINGS[Math.floor(index / 8)]];
    if (stuff === undefined || thing === undefined) throw new Error('too few words');
    joint.label = `${stuff} ${thing}`;
    known.set(joint.label, joint.name);
  });
  return known;
}
