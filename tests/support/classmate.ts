import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';

/** The heron as a student hands it in: of the same mesh, its joints changed. */
export function classmate(...changes: ((puppet: Puppet) => void)[]): Uint8Array {
  const puppet = raisePuppet('heron');
  for (const change of changes) change(puppet);
  return mainFile(buildPuppet(puppet));
}

/** Takes joints out; their skin goes to another one, and so does what hangs on them. */
export const leaveOut =
  (to: string, ...names: readonly (string | number)[]) =>
  (puppet: Puppet): void => {
    const kept = puppet.joints.filter(({ name }) => !names.includes(name));
    for (const joint of kept) if (names.includes(joint.parent ?? '')) joint.parent = to;
    puppet.joints.splice(0, puppet.joints.length, ...kept);
    for (const part of puppet.parts)
      part.influences = part.influences.map((list) => {
        const sums = new Map<string | number, number>();
        for (const [joint, weight] of list) {
          const heir = names.includes(joint) ? to : joint;
          sums.set(heir, (sums.get(heir) ?? 0) + weight);
        }
        return [...sums].map(([joint, weight]): Influence => [joint, weight]);
      });
    puppet.clips.length = 0;
  };

/** The whole tail of the heron. */
export const TAIL = ['tail_root', 'tail_mid', 'tail_tip'];

/** Moves one joint and nothing else. Metres. */
export const moveJoint =
  (name: string, by: Vec3) =>
  (puppet: Puppet): void => {
    const joint = puppet.joint(name);
    joint.position = [
      joint.position[0] + by[0],
      joint.position[1] + by[1],
      joint.position[2] + by[2],
    ];
  };

/** Names that no other joint has, and that tell nothing of where it is. */
export function renameAll(puppet: Puppet): void {
  for (const [at, joint] of puppet.joints.entries()) joint.label = `node${(7 * at) % 29}`;
}

/** Takes joints and mesh through a map: another size, another up axis, elsewhere. */
export const mapAll =
  (map: (place: Vec3) => Vec3) =>
  (puppet: Puppet): void => {
    for (const joint of puppet.joints) joint.position = map(joint.position);
    for (const part of puppet.parts) part.positions = part.positions.map(map);
  };
