// Source: common practice, no published source. The proof a practitioner runs on a new chain: select
// every joint, turn all of them by one and the same amount about the up axis, and look whether the
// chain stays in its plane. Played here by three.js (npm `three`), which knows nothing of rigs.
import { Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { noTurn, type Quat, turnOf } from '../../fixtures/kit/turns.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { curls } from '../../src/measure/skeleton/curl.js';
import { factsOf } from '../support/facts-of.js';
import { loadInThree } from '../support/three-scene.js';
import { chainJoints, tinyGlb, tubeSkin } from '../support/tiny-rig.js';

const BONES = 7;
/** What counts as in the plane. Of the chain's length. */
const IN_PLANE = 1e-6;
/** The curl's limit in the rule. Of the chain's length. */
const CURL_LIMIT = 0.02;

const points = Array.from({ length: BONES + 1 }, (_, k): Vec3 => [0.1 * k, 1, 0]);

/** Aim +Z along the chain, up +X: local X looks up in the world, local Z along world X. */
const otherAxes: Quat = turnOf([
  [0, 1, 0],
  [0, 0, 1],
  [1, 0, 0],
]);

/** A level chain, aim +X and up +Y, but for the joints given. */
function chain(others: readonly number[]): Uint8Array {
  const turns = points.map((_, joint) => (others.includes(joint) ? otherAxes : noTurn));
  // The hide reaches back past the first joint, as a hip does, so that it is no tip of the body.
  const hide = tubeSkin([[-0.25, 1, 0], ...points], 0.03, [0, 1, 0]);
  const influences = hide.influences.map((list) =>
    list.map(([joint, weight]) => [Math.max(0, Number(joint) - 1), weight] as const),
  );
  const merged = influences.map((list) => {
    const byJoint = new Map<number, number>();
    for (const [joint, weight] of list) byJoint.set(joint, (byJoint.get(joint) ?? 0) + weight);
    return [...byJoint];
  });
  return tinyGlb(chainJoints(points, turns), { ...hide, influences: merged });
}

/** The joints' places after each but the first is turned by the same angle about its own +Y. */
async function curledInThree(bytes: Uint8Array): Promise<Vector3[]> {
  const { nodes } = await loadInThree(bytes);
  const joints = points.map((_, node) => nodes.get(node));
  for (const joint of joints.slice(1))
    joint?.rotateOnAxis(new Vector3(0, 1, 0), Math.PI / 2 / BONES);
  joints[0]?.updateMatrixWorld(true);
  return joints.map((joint) => new Vector3().setFromMatrixPosition(joint?.matrixWorld ?? never()));
}

function never(): never {
  throw new Error('every joint is a node');
}

/** How far the places leave the plane square to the world's up, of the chain's length. */
const offPlane = (places: readonly Vector3[]): number =>
  Math.max(...places.map(({ y }) => Math.abs(y - 1))) / (0.1 * BONES);

async function findings(bytes: Uint8Array): Promise<string[]> {
  const report = await checkAssetBytes(bytes, { settings: defaultSettings(rules) });
  expect(report.unreadable).toBeNull();
  return report.findings.map(({ level, rule, place }) => `${level} ${rule} ${place.name}`);
}

describe('a straight chain that aims +X with +Y up throughout', () => {
  test('stays in one plane when every joint is turned alike about +Y', async () => {
    const places = await curledInThree(chain([]));
    expect(offPlane(places)).toBeLessThan(IN_PLANE);
    expect(places.at(-1)?.z).toBeLessThan(-0.3);
  });

  test('is told nothing, and its curl has no drift', async () => {
    expect(await findings(chain([]))).toEqual([]);
    expect(curls(await factsOf(chain([])))[0]?.drift).toBeLessThan(IN_PLANE);
  });
});

describe('the same chain with two joints that aim +Z with +X up', () => {
  const others = [2, 4];

  test('leaves the plane under the same turns by more than the limit of a curl', async () => {
    expect(offPlane(await curledInThree(chain(others)))).toBeGreaterThan(CURL_LIMIT);
  });

  test('is told of exactly those two joints, and of nothing else', async () => {
    expect(await findings(chain(others))).toEqual([
      'error axis.uniform rod 3',
      'error axis.uniform rod 5',
    ]);
  });
});
