import { describe, expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { PLAIN } from '../../src/report/paint.js';
import type { AssetReport, FindingReport, PlaceReport } from '../../src/report/report-types.js';
import { writeText } from '../../src/report/text.js';
import { checkBuilt } from '../support/check-built.js';
import { sampleReport } from './sample-report.js';

const plain = { columns: 80, paint: PLAIN, quiet: false };

/** A heron whose left shin is rolled, told as a finding that lists other joints too. */
async function listing(isListed: (name: string) => boolean): Promise<AssetReport> {
  const asset = await checkBuilt(build('heron', { faults: [faultNamed('flipped-shin')] }));
  const places = (asset.rigs[0]?.joints ?? []).flatMap(({ name, path, node }, joint) =>
    isListed(name)
      ? [{ kind: 'joint' as const, name, path, joint, node, pointer: `/nodes/${node}` }]
      : [],
  );
  const findings = asset.findings.map((finding): FindingReport => ({ ...finding, places }));
  return { ...asset, findings };
}

/** The tree alone, with the verdict. */
function treeOf(asset: AssetReport): string {
  return writeText(sampleReport([asset]), plain)
    .split('\n')
    .slice(6)
    .join('\n');
}

describe('a finding that lists several joints', () => {
  it('is told at its worst joint, and the others are marked and do not hold', async () => {
    const names = ['shin_L', 'shin_R', 'neck_low', 'neck_bend'];
    const tree = treeOf(await listing((name) => names.includes(name)));
    expect(tree).toMatchInlineSnapshot(`
      "  body
          spine_low / spine_high
            neck_low / neck_bend
              (each also axis.up, listed at "shin_L")
              (4 joints without findings: neck_mid and below)
            (8 joints without findings: wing_1_L, wing_1_R and below)
          thigh_L / shin_L
            1. ERROR axis.up: "shin_L" is rolled 180° about its aim axis against its
              segment (limit 30°). Turn its frame by 180° about its aim axis +Y
              (right-handed) so that +Z agrees with that of "thigh_L", leaving
              children and mesh in place.
            (2 joints without findings: foot_L and below)
          thigh_R / shin_R
            (also axis.up, listed at "shin_L")
            (2 joints without findings: foot_R and below)
          (3 joints without findings: tail_root and below)

        Verdict: unsound, because of 1 error: axis.up at "shin_L" and 3 other
          joints. First: Turn its frame by 180° about its aim axis +Y (right-handed)
          so that +Z agrees with that of "thigh_L", leaving children and mesh in
          place.
        1 error, 0 warnings, 0 notes. 41 of 42 rules passed, 1 not applicable.
      "
    `);
    expect(tree).not.toContain('shin_R hold');
  });

  it('of too many joints to mark leaves the tree folded, and counts them where they fold', async () => {
    const tree = treeOf(await listing((name) => !name.startsWith('tail') && name !== 'body'));
    expect(tree).toMatchInlineSnapshot(`
      "  body
          thigh_L / shin_L
            1. ERROR axis.up: "shin_L" is rolled 180° about its aim axis against its
              segment (limit 30°). Turn its frame by 180° about its aim axis +Y
              (right-handed) so that +Z agrees with that of "thigh_L", leaving
              children and mesh in place. Also at 23 other joints.
            (2 joints: foot_L and below; also axis.up, listed at "shin_L")
          (23 joints: spine_low, tail_root, thigh_R and below; 3 without findings,
            20 also axis.up, listed at "shin_L")

        Verdict: unsound, because of 1 error: axis.up at "shin_L" and 23 other
          joints. First: Turn its frame by 180° about its aim axis +Y (right-handed)
          so that +Z agrees with that of "thigh_L", leaving children and mesh in
          place.
        1 error, 0 warnings, 0 notes. 41 of 42 rules passed, 1 not applicable.
      "
    `);
  });

  it('leaves none of its joints among those that hold', async () => {
    for (const listed of ['shin', 'wing', '_', 'tail', 'neck_low']) {
      const asset = await listing((name) => name.includes(listed) || name === 'shin_L');
      const tree = treeOf(asset).replace(/\s+/g, ' ');
      const others = asset.findings[0]?.places.length ?? 0;
      const each = [...tree.matchAll(/\((\d+) joints? holds?:|; (\d+) holds?,/g)];
      const held = each.reduce((sum, [, all, some]) => sum + Number(all ?? some), 0);
      expect(held).toBeLessThanOrEqual(28 - others);
    }
  });
});

it('what is listed and no joint is told in words', async () => {
  const asset = await checkBuilt(build('heron', { faults: [faultNamed('flipped-shin')] }));
  const mesh: PlaceReport = {
    kind: 'mesh',
    name: 'feathers',
    path: 'feathers',
    joint: null,
    node: 3,
    pointer: '/meshes/0',
  };
  const findings = asset.findings.map((finding) => ({
    ...finding,
    places: [...finding.places, mesh],
  }));
  const flat = treeOf({ ...asset, findings }).replace(/\s+/g, ' ');
  expect(flat).toContain('Also at "feathers".');
  expect(flat).toContain('axis.up at "shin_L" and 1 other place.');
});
