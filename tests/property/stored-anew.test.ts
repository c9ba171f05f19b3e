// Source: npm `@gltf-transform/functions`, whose transforms store an asset otherwise and show the same.
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { plainFaults } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { checkGlb } from '../support/check-built.js';
import { storedAnew, WAYS } from '../support/stored-anew.js';

const settings = defaultSettings(rules);

/** What a way of storing changes in the rig itself, so that what is found of it must change. */
const NAMED: Readonly<Record<string, readonly (readonly [fault: string, why: string])[]>> = {
  quantize: [
    ['weight-not-a-number', 'whole numbers hold no NaN'],
    ['grown-since-bound', 'the scale of the mesh is baked into the bind matrices, beside that one'],
  ],
  meshopt: [
    ['weight-not-a-number', 'whole numbers hold no NaN'],
    ['grown-since-bound', 'the scale of the mesh is baked into the bind matrices, beside that one'],
  ],
  sparse: [['weight-not-a-number', 'what is no number is taken for zero']],
};

function isNamed(way: string, fault: string): boolean {
  return (NAMED[way] ?? []).some(([name]) => name === fault);
}

/** Findings as they must come again; coarser numbers may mend or harm the sums of weights. */
function known({ findings }: AssetReport, coarse: boolean) {
  return findings
    .filter(({ rule }) => !coarse || rule !== 'skin.sum')
    .map(({ identity, rule, level, place, places, measured, unit }) => ({
      identity,
      rule,
      level,
      place: place.path,
      places: places.map(({ path }) => path).sort(),
      // Vertices are split and joined; they are what is counted then.
      measured: coarse || unit === 'vertices' ? null : measured?.toPrecision(4),
    }));
}

const ways = Object.entries(WAYS);
/** Each fault is stored in some of the ways, and each way meets faults of every family. */
const EVERY = 8;

const cases = plainFaults
  .map(({ name, puppet, failing, weights }, at) => ({
    name,
    puppet,
    at,
    build: () => {
      // The fault itself, by its name, so that a table of many cases stays readable.
      const fault = plainFaults[at];
      if (fault === undefined) throw new Error('no fault');
      const options = weights === undefined ? {} : { weights };
      return buildGlb(puppet, { faults: [{ fault, amount: failing }], ...options });
    },
  }))
  .concat(castNames.map((name, at) => ({ name, puppet: name, at, build: () => buildGlb(name) })));

describe('an asset stored another way shows the same findings', () => {
  test.each(cases)('$name', async ({ name, puppet, at, build }) => {
    const glb = build();
    const before = await checkGlb(glb, `${puppet}.glb`);
    for (const [way, how] of ways.filter((_, index) => (index + at) % EVERY === 0)) {
      if (isNamed(way, name)) continue;
      const coarse = how.coarse === true;
      const after = await checkAssetBytes(await storedAnew(glb, how), { settings });
      expect({ way, ...after.unreadable }).toEqual({ way });
      expect({ way, found: known(after, coarse) }).toEqual({ way, found: known(before, coarse) });
    }
  });

  const named = Object.entries(NAMED).flatMap(([way, list]) =>
    list.map(([fault, why]) => [way, fault, why] as const),
  );
  test.each(named)('but %s changes what is found of %s: %s', async (way, fault) => {
    const entry = cases.find(({ name }) => name === fault);
    const how = WAYS[way];
    if (entry === undefined || how === undefined) throw new Error('no such case');
    const glb = entry.build();
    const before = await checkGlb(glb);
    const after = await checkAssetBytes(await storedAnew(glb, how), { settings });
    expect(known(after, true)).not.toEqual(known(before, true));
  });
});
