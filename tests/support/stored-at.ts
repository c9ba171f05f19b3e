import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { restInClip } from '../../fixtures/kit/changes.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';

/** Stored in a pose of its first clip that turns joints, at a share of its length between keys. */
export function storedAt(
  cast: CastName,
  share: number,
  change: (puppet: Puppet) => void = () => {},
) {
  const puppet = raisePuppet(cast);
  const clip = puppet.clips.find(({ channels }) =>
    channels.some(({ path }) => path === 'rotation'),
  );
  if (clip === undefined) throw new Error(`${cast} has no clip that turns anything`);
  // Straight turns alone, which the kit can store between keys.
  const straight = clip.channels.filter(
    ({ path, interpolation }) => path === 'rotation' && interpolation === 'LINEAR',
  );
  clip.channels.splice(0, clip.channels.length, ...straight);
  const last = Math.max(...clip.channels.flatMap(({ times }) => times));
  restInClip(puppet, clip.name, share * last);
  change(puppet);
  return { bytes: mainFile(buildPuppet(puppet)), name: clip.name, channels: clip.channels.length };
}
