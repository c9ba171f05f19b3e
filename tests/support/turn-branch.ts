import type { Puppet } from '../../fixtures/kit/puppet.js';
import { compose, turnAbout, turned } from '../../fixtures/kit/turns.js';
import { subtract, type Vec3 } from '../../fixtures/kit/vectors.js';

/** Turns a joint and all below it about the joint's place, as a limb is that was bound in another pose. */
export function turnBranch(puppet: Puppet, name: string, axis: Vec3, degrees: number): void {
  const pivot = puppet.joint(name).position;
  const turn = turnAbout(axis, degrees);
  const moved = (at: Vec3): Vec3 => {
    const [x, y, z] = turned(turn, subtract(at, pivot));
    return [x + pivot[0], y + pivot[1], z + pivot[2]];
  };
  for (const each of puppet.below(name)) {
    const joint = puppet.joint(each);
    joint.position = moved(joint.position);
    joint.rotation = compose(turn, joint.rotation);
  }
}
