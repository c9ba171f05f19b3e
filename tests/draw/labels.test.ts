import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { badgeText } from '../../src/draw/badges.js';
import { numbered } from '../../src/draw/joint-findings.js';
import { drawPictures } from '../../src/draw/pictures.js';
import { type Box, overlap, Placement } from '../../src/draw/placement.js';
import { layoutRig, type RigLayout } from '../../src/draw/rig-layout.js';
import { drawRig, type RigPicture } from '../../src/draw/rig-picture.js';
import { makeRigShape } from '../../src/draw/rig-shape.js';
import { drawSheet } from '../../src/draw/sheet.js';
import type { AssetReport, FindingReport } from '../../src/report/report-types.js';
import { bigRig } from '../bench/big-rig.js';
import { HAND_SIDES, handBytes } from '../support/hands.js';
import { type Drawable, drawable, hasClass, readSvg } from './drawn.js';

function drawFirst({ scene, report }: Drawable): { layout: RigLayout; picture: RigPicture } {
  const [rig] = scene.rigs;
  if (rig === undefined) throw new Error('no rig');
  const layout = layoutRig(makeRigShape(0, rig, report.rigs[0]));
  return { layout, picture: drawRig(layout, numbered(report, 0), () => '') };
}

/** The report as if `rule` had found every joint of the first rig wanting. */
function withFindingAtEach(report: AssetReport): AssetReport {
  const joints = report.rigs[0]?.joints ?? [];
  const findings = joints.map(
    ({ name, path, node }, joint): FindingReport => ({
      identity: String(joint),
      rule: 'axis.up',
      level: 'error',
      rig: 0,
      anchor: { kind: 'joint', path },
      aspect: null,
      place: { kind: 'joint', name, path, joint, node, pointer: '' },
      places: [{ kind: 'joint', name, path, joint, node, pointer: '' }],
      message: 'Rolled.',
      remedy: 'Turn it.',
      measured: 90,
      limit: 5,
      unit: 'degrees',
      counts: null,
      vertices: [],
      consequences: [],
      evidence: [],
    }),
  );
  return { ...report, findings };
}

const CASES: readonly (readonly [string, () => Promise<Drawable>])[] = [
  ...castNames.map((name) => [name, () => drawable(buildGlb(name))] as const),
  ...HAND_SIDES.map((side) => [`${side} hand`, () => drawable(handBytes(side))] as const),
  ...(['heron', 'mule', 'marionette'] as const).map(
    (name) =>
      [
        `${name} with a finding at each joint`,
        async () => {
          const { scene, report } = await drawable(buildGlb(name));
          return { scene, report: withFindingAtEach(report) };
        },
      ] as const,
  ),
];

describe.each(CASES)('%s', (_, make) => {
  it('has titles, badges and letters that never overlap and stay in their view', async () => {
    const { layout, picture } = drawFirst(await make());
    expect(picture.labels).toHaveLength(3);
    picture.labels.forEach((boxes, view) => {
      const bounds = layout.cells[view]?.bounds ?? { x: 0, y: 0, width: 0, height: 0 };
      expect(boxes.length).toBeGreaterThan(3);
      const isWithin = ({ x, y, width, height }: Box): boolean =>
        x >= bounds.x &&
        x + width <= bounds.x + bounds.width &&
        y >= bounds.y &&
        y + height <= bounds.y + bounds.height;
      expect(boxes.filter((box) => !isWithin(box))).toEqual([]);
      const overlapping = boxes.flatMap((box, at) =>
        boxes.slice(at + 1).flatMap((other) => (overlap(box, other) ? [[box, other]] : [])),
      );
      expect(overlapping).toEqual([]);
    });
  });
});

it('every finding at a joint is marked by its number in each view', async () => {
  const faults = [faultNamed('flipped-shin'), faultNamed('turned-beak-tip')];
  const { scene, report } = await drawable(buildGlb('heron', { faults }));
  const marks = readSvg(drawSheet(scene, report)).filter((one) => hasClass(one, 'drawing-number'));
  const shown = marks.map(({ text }) => text).slice(0, -1);
  const wanted = report.findings.flatMap(({ place }, index) =>
    place.joint === null ? [] : Array.from({ length: 3 }, () => String(index + 1)),
  );
  expect(report.findings.length).toBeGreaterThan(1);
  expect(shown.sort()).toEqual(wanted.sort());
});

it('findings of one joint share a badge', () => {
  expect(badgeText([2, 5])).toBe('2, 5');
  expect(badgeText([1, 2, 3, 4, 5])).toBe('1, 2, 3 +2');
});

it('of a thousand findings those without room are told to be not marked', async () => {
  const bytes = bigRig({ vertices: 4000, joints: 1001, keys: 0, textureBytes: 0 });
  const { scene, report } = await drawable(bytes);
  const crowded = withFindingAtEach(report);
  const { picture } = drawFirst({ scene, report: crowded });
  const badges = readSvg(drawSheet(scene, crowded));
  const marked = crowded.findings.length - picture.unmarked.length;
  expect(crowded.findings).toHaveLength(1001);
  expect(marked).toBeGreaterThan(20);
  expect(marked).toBeLessThanOrEqual(40);
  const texts = badges.map(({ text }) => text);
  expect(texts.filter((text) => text.endsWith('(not marked here)')).length).toBeGreaterThan(100);
  expect(texts).toContain('and 801 more, which are in the report');
  const pictures = drawPictures(scene, crowded).findings;
  expect(pictures.indexOf(null)).toBe(500);
  expect(Math.max(...pictures.map((picture) => picture?.length ?? 0))).toBeLessThan(12_000);
});

describe('Placement', () => {
  const bounds: Box = { x: -50, y: -50, width: 100, height: 100 };

  it('finds every free place of a full grid but one, and none when it is full', () => {
    const placement = new Placement(bounds);
    const boxes = Array.from(
      { length: 100 },
      (_, at): Box => ({
        x: -50 + 10 * (at % 10),
        y: -50 + 10 * Math.floor(at / 10),
        width: 10,
        height: 10,
      }),
    );
    for (const [at, box] of boxes.entries()) if (at !== 57) placement.take(box);
    const candidates = boxes.map((box) => ({ box }));
    expect(placement.takeBest(candidates)?.box).toEqual(boxes[57]);
    expect(placement.takeBest(candidates)).toBeNull();
  });

  it('takes the cheapest, and nothing that leaves the picture', () => {
    const placement = new Placement(bounds);
    const [inside, cheap, outside] = [0, 20, 45].map((x) => ({
      box: { x, y: 0, width: 10, height: 10 },
    }));
    if (!inside || !cheap || !outside) throw new Error('three boxes');
    const cost = ({ box }: { box: Box }): number => -box.x;
    expect(placement.takeBest([inside, cheap, outside], cost)).toBe(cheap);
  });
});
