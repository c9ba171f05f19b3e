// The order of the lists of a glTF 2.0 asset says nothing (3.2: entities refer to each other by index).
// Beside the cast: the hands of npm `@webxr-input-profiles/assets`, which another exporter wrote.
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { plainFaults } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { checkGlb } from '../support/check-built.js';
import { HAND_SIDES, handBytes } from '../support/hands.js';
import { asGlb, asGltf, permuted, randomFrom, type Stored, storedIn } from '../support/permuted.js';

const settings = defaultSettings(rules);

/** What of a report no order of the file may change: nearly all of it. */
function known({ rigs, findings, verdict }: AssetReport) {
  return {
    verdict,
    rigs: rigs.map(({ name, joints }) => [name, joints.map(({ path }) => path)]),
    findings: findings.map(({ identity, rule, level, rig, anchor, place, places, measured }) => ({
      identity,
      rule,
      level,
      rig,
      anchor,
      place: place.path,
      places: places.map(({ path, measured: own }) => [path, own?.toPrecision(6)]),
      measured: measured?.toPrecision(6),
    })),
  };
}

/** The asset as it is and in some random orders, each as `.gltf` or `.glb`. */
async function inManyOrders(stored: Stored, orders: number): Promise<void> {
  await inOrders(stored, orders, 1, await checkGlb(asGlb(stored)));
}

async function inOrders(
  stored: Stored,
  orders: number,
  seed: number,
  before: AssetReport,
): Promise<void> {
  expect(before.unreadable).toBeNull();
  for (let order = 0; order < orders; order++) {
    const random = randomFrom(1000 * seed + order);
    const shuffled = permuted(stored, random);
    const bytes = random() < 0.5 ? asGlb(shuffled) : asGltf(shuffled);
    expect(known(await checkAssetBytes(bytes, { settings }))).toEqual(known(before));
  }
}

/** The asset with other names for its nodes. */
function renamed({ json, buffers }: Stored, nameOf: (index: number) => string | null): Stored {
  const copy = structuredClone(json);
  // A list of nodes that are objects: the kit wrote it.
  (copy.nodes as { name?: string }[]).forEach((node, index) => {
    const name = nameOf(index);
    if (name === null) delete node.name;
    else node.name = name;
  });
  return { json: copy, buffers };
}

describe('any order of nodes, siblings, skins, meshes, accessors, buffers and clips', () => {
  test.each(plainFaults.map((fault, seed) => [fault.name, fault, seed] as const))(
    'shows the same of %s',
    async (_, fault, seed) => {
      const weights = fault.weights === undefined ? {} : { weights: fault.weights };
      const glb = buildGlb(fault.puppet, { faults: [fault], ...weights });
      // One order each: so many faults come in as many orders.
      const before = await checkGlb(glb, `${fault.puppet}.glb`);
      await inOrders(storedIn(glb), 1, seed, before);
    },
  );

  test.each(HAND_SIDES)('shows the same of a %s hand', async (side) => {
    await inManyOrders(storedIn(handBytes(side)), 6);
  });

  test.each(castNames)('shows the same of a %s none of whose nodes has a name', async (name) => {
    await inManyOrders(
      renamed(storedIn(buildGlb(name)), () => null),
      6,
    );
  });

  test.each(castNames)('shows the same of a %s all of whose nodes share one', async (name) => {
    await inManyOrders(
      renamed(storedIn(buildGlb(name)), () => 'peg'),
      6,
    );
  });
});
