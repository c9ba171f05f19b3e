import { describe, expect, it } from 'vitest';
import { build, buildPuppet, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { COLOURS } from '../../src/report/colours.js';
import { PLAIN } from '../../src/report/paint.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { writeText } from '../../src/report/text.js';
import { checkBuilt } from '../support/check-built.js';
import { sampleReport } from './sample-report.js';

function reportOf(...assets: AssetReport[]): Report {
  return sampleReport(assets);
}

const plain = { columns: 80, paint: PLAIN, quiet: false };
const faulty = () => {
  const names = ['flipped-shin', 'off-the-centre-line'] as const;
  return checkBuilt(build('heron', { faults: names.map(faultNamed) }));
};

describe('the text report', () => {
  it('shows each finding at its joint in the tree, sound branches folded', async () => {
    expect(writeText(reportOf(await faulty()), plain)).toMatchInlineSnapshot(`
      "heron.glb
        Rig "body": 28 joints, 1 skin, 1450 vertices, 1 clip, size 1.75 m.
        Frames: aim +Y, found from the rig, followed by 20 of 20 joints; up +Z.
        Sides: 8 pairs (8 by name); mirror scheme: side reversed (6 of 7).
        Body root: body.

        2. WARNING rest.centred: The model is symmetric but stands 5 % of size
          (0.0875 m) off the centre line towards +X (limit 1 %). Move model and rig
          together by -0.0875 along X before binding.
        body
          thigh_L / shin_L
            1. ERROR axis.up: "shin_L" is rolled 180° about its aim axis against its
              segment (limit 30°). Turn its frame by 180° about its aim axis +Y
              (right-handed) so that +Z agrees with that of "thigh_L", leaving
              children and mesh in place.
            (2 joints without findings: foot_L and below)
          (23 joints without findings: spine_low, tail_root, thigh_R and below)

        Verdict: unsound, because of 1 error: axis.up at "shin_L". First: Turn its
          frame by 180° about its aim axis +Y (right-handed) so that +Z agrees with
          that of "thigh_L", leaving children and mesh in place.
        1 error, 1 warning, 0 notes. 40 of 42 rules passed, 1 not applicable.
      "
    `);
  });

  it('says of pairs that no name tells that their mirror scheme is not judged', async () => {
    const puppet = raisePuppet('heron');
    for (const [at, joint] of puppet.joints.entries()) joint.label = `joint${at + 1}`;
    const asset = await checkBuilt(buildPuppet(puppet));
    expect(writeText(reportOf(asset), { ...plain, columns: 200 })).toContain(
      'Sides: 8 pairs (8 by place); no name tells their sides, so whether they mirror is not judged.',
    );
  });

  it('keeps to the width it is given', async () => {
    const report = reportOf(await faulty());
    for (const columns of [60, 80, 100]) {
      const lines = writeText(report, { ...plain, columns }).split('\n');
      expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(columns);
    }
  });

  it('says the same without colour: colour adds nothing but escapes', async () => {
    const report = reportOf(await faulty());
    const coloured = writeText(report, { ...plain, paint: COLOURS });
    expect(coloured).toMatch(/\u001b\[31m/);
    // biome-ignore lint/complexity/useRegexLiterals: a literal could not hold the escape readably
    expect(coloured.replace(new RegExp('\u001b\\[[0-9;]*m', 'g'), '')).toBe(
      writeText(report, plain),
    );
  });

  it('reads aloud: no drawn lines, no symbols for levels', async () => {
    expect(writeText(reportOf(await faulty()), plain)).toMatch(/^[\x20-\x7e\n°]*$/);
  });

  it('shows control and bidirectional characters of names as escapes, never raw', async () => {
    const puppet = raisePuppet('heron', { faults: [faultNamed('flipped-shin')] });
    puppet.edits.push((json) => {
      for (const node of json.nodes)
        if (node.name === 'shin_L') node.name = 'shin\u001b[31m\u202e_L\nnext';
    });
    const text = writeText(reportOf(await checkBuilt(buildPuppet(puppet))), plain);
    expect(text).toContain('shin\\u001b[31m\\u202e_L\\u000anext');
    expect(text).not.toMatch(/[\u001b\u202e]/);
  });

  it('tells of an unreadable asset in one place, and sums up several assets', async () => {
    const asset = await checkBuilt(build('heron'));
    const broken: AssetReport = {
      ...asset,
      path: 'broken.glb',
      verdict: 'unreadable',
      unreadable: { reason: 'the file is empty', where: 'byte 0' },
      rigs: [],
    };
    const text = writeText(reportOf(asset, broken), plain);
    expect(text).toContain('broken.glb: unreadable\n  the file is empty (at byte 0).');
    const flat = text.replace(/\s+/g, ' ');
    expect(flat).toMatch(
      /2 assets: 1 sound, 0 unsound, 1 unreadable\. 0 errors, 0 warnings, 0 notes in all\. $/,
    );
  });
});
