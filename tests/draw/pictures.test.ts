import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { bestView, subjectOf } from '../../src/draw/finding-view.js';
import { byJoint } from '../../src/draw/joint-findings.js';
import { drawPictures } from '../../src/draw/pictures.js';
import { makeRigShape } from '../../src/draw/rig-shape.js';
import { VIEWS } from '../../src/draw/view.js';
import { drawable, hasClass, readSvg } from './drawn.js';

it('a finding at a joint has a picture with the name of the joint, its axes and its evidence', async () => {
  const { scene, report } = await drawable(
    buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
  );
  const [picture] = drawPictures(scene, report).findings;
  const elements = readSvg(picture ?? '');
  const texts = elements.map(({ text }) => text);
  for (const words of ['shin_L', 'up axis', 'up axis of the segment', 'X', 'Y', 'Z'])
    expect(texts).toContain(words);
  expect(elements[0]?.attributes['aria-label']).toContain('Finding 1, axis.up at shin_L');
  expect(elements.filter((one) => hasClass(one, 'drawing-ring'))).toHaveLength(1);
});

it('rings and badges stand at all joints that a finding lists, the one it is told at first', async () => {
  const { scene, report } = await drawable(
    buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
  );
  const places = (report.rigs[0]?.joints ?? []).flatMap(({ name, path, node }, joint) =>
    ['shin_L', 'foot_L', 'neck_low'].includes(name)
      ? [{ kind: 'joint' as const, name, path, joint, node, pointer: `/nodes/${node}` }]
      : [],
  );
  const [finding] = report.findings.map((item) => ({ ...item, places }));
  if (finding === undefined) throw new Error('a rig with a finding');
  const groups = byJoint([{ number: 1, finding }]);
  expect(groups.map(({ joint }) => report.rigs[0]?.joints[joint]?.name)).toEqual([
    'shin_L',
    'neck_low',
    'foot_L',
  ]);
  expect(groups.map(({ isPlace }) => isPlace)).toEqual([true, false, false]);
  const drawn = drawPictures(scene, { ...report, findings: [finding] });
  const rings = readSvg(drawn.findings[0] ?? '').filter((one) => hasClass(one, 'drawing-ring'));
  expect(rings).toHaveLength(3);
  const badges = readSvg(drawn.sheets[0] ?? '').filter((one) => hasClass(one, 'drawing-badge'));
  const alone = readSvg(drawPictures(scene, report).sheets[0] ?? '');
  const before = alone.filter((one) => hasClass(one, 'drawing-badge')).length;
  expect(badges.length - before).toBe(2 * VIEWS.length);
});

it('a finding about the whole file or a holder has none', async () => {
  const { scene, report } = await drawable(
    buildGlb('heron', { faults: [faultNamed('moved-holder')] }),
  );
  expect(report.findings.map(({ place }) => place.kind)).toEqual(['node']);
  expect(drawPictures(scene, report).findings).toEqual([null]);
});

it('evidence of the bind pose is not drawn on a rig stored in another', async () => {
  const fault = faultNamed('flipped-shin');
  const { scene, report } = await drawable(buildGlb('heron', { faults: [fault] }));
  const posed = { rigs: scene.rigs.map((rig) => ({ ...rig, posed: true })) };
  const [still] = drawPictures(scene, report).findings;
  const [moved] = drawPictures(posed, report).findings;
  expect(still).toContain('up axis of the segment');
  expect(moved).not.toContain('up axis');
});

it('a roll is shown along the bone, where the angle opens', async () => {
  const { scene, report } = await drawable(
    buildGlb('heron', { faults: [{ fault: faultNamed('flipped-shin'), amount: 90 }] }),
  );
  const [rig] = scene.rigs;
  const [finding] = report.findings;
  if (rig === undefined || finding === undefined) throw new Error('a rig with a finding');
  const subject = subjectOf(makeRigShape(0, rig, report.rigs[0]), finding);
  // The shin stands nearly upright, so that its roll is an angle as seen from above.
  expect(subject && bestView(subject).name).toBe('top');
});

it('pictures of several rigs do not share ids', async () => {
  const { scene, report } = await drawable(buildGlb('heron'));
  const twice = { rigs: [...scene.rigs, ...scene.rigs] };
  const { defs, sheets } = drawPictures(twice, {
    ...report,
    rigs: [...report.rigs, ...report.rigs],
  });
  const ids = readSvg(defs).flatMap(({ attributes }) => attributes.id ?? []);
  expect(new Set(ids).size).toBe(6);
  expect(sheets).toHaveLength(2);
});
