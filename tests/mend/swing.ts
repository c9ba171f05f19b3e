// Source: VRMC_springBone 1.0, SpringBone Algorithm (Initialization, Update procedure), written here anew
// on three.js. The radius of a collider grows with its node, hitRadius does not.
import { Matrix4, Quaternion, Vector3 } from 'three';
import { itemsOf } from '../../src/mend/carry/carry-plan.js';
import { at, numberAt, placed, type Stood, vectorAt, worldScale } from './carried.js';

const SECONDS = 1 / 30;

/** Swings the first spring of a file, and tells where the tails of its joints are after each step. */
export function swing(stood: Stood, steps: number): Vector3[] {
  const { json, object } = stood;
  const springs = ['extensions', 'VRMC_springBone'] as const;
  const joints = itemsOf(at(json, ...springs, 'springs', 0, 'joints'));
  const states = joints.slice(0, -1).map((joint, index) => {
    const head = object(numberAt(joint, 'node'));
    const tail = object(numberAt(joints[index + 1], 'node')).getWorldPosition(new Vector3());
    const start = head.getWorldPosition(new Vector3());
    return {
      joint,
      head,
      prevTail: tail.clone(),
      currentTail: tail.clone(),
      boneAxis: head.worldToLocal(tail.clone()).normalize(),
      boneLength: tail.distanceTo(start),
      initialLocalMatrix: head.matrix.clone(),
      initialLocalRotation: head.quaternion.clone(),
    };
  });
  const found: Vector3[] = [];
  for (let step = 0; step < steps; step++)
    for (const state of states) {
      const { joint, head, boneAxis, boneLength } = state;
      const parent = head.parent;
      if (parent === null) throw new Error('a spring hangs on something');
      const worldPosition = head.getWorldPosition(new Vector3());
      const rotation = parent.getWorldQuaternion(new Quaternion()).multiply(head.quaternion);
      const inertia = state.currentTail
        .clone()
        .sub(state.prevTail)
        .multiplyScalar(1 - numberAt(joint, 'dragForce'));
      const stiffness = boneAxis
        .clone()
        .applyQuaternion(rotation)
        .multiplyScalar(SECONDS * numberAt(joint, 'stiffness'));
      const external = vectorAt(joint, 'gravityDir').multiplyScalar(
        SECONDS * numberAt(joint, 'gravityPower'),
      );
      const limit = (tail: Vector3): Vector3 =>
        tail.sub(worldPosition).normalize().multiplyScalar(boneLength).add(worldPosition);
      let next = limit(state.currentTail.clone().add(inertia).add(stiffness).add(external));
      for (const [index, collider] of itemsOf(at(json, ...springs, 'colliders')).entries()) {
        const node = numberAt(collider, 'node');
        const sphere = [...springs, 'colliders', index, 'shape', 'sphere'] as const;
        const centre = placed(stood, node, vectorAt(json, ...sphere, 'offset'));
        const radius = numberAt(json, ...sphere, 'radius') * worldScale(stood, node);
        const away = next.clone().sub(centre);
        const distance = away.length() - radius - numberAt(joint, 'hitRadius');
        if (distance < 0) next = limit(next.addScaledVector(away.normalize(), -distance));
      }
      state.prevTail = state.currentTail;
      state.currentTail = next;
      const rested = new Matrix4().multiplyMatrices(parent.matrixWorld, state.initialLocalMatrix);
      const to = next.clone().applyMatrix4(rested.invert()).normalize();
      head.quaternion
        .copy(state.initialLocalRotation)
        .multiply(new Quaternion().setFromUnitVectors(boneAxis, to));
      head.updateWorldMatrix(false, true);
      found.push(next.clone());
    }
  return found;
}
