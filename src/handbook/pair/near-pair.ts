import { drawFinding, shotOf } from '../../draw/finding-picture.js';
import { bestView, subjectOf } from '../../draw/finding-view.js';
import { layoutRig, type RigLayout } from '../../draw/rig-layout.js';
import { makeRigShape, type RigShape } from '../../draw/rig-shape.js';
import { VIEWS, type View } from '../../draw/view.js';
import type { Vec3 } from '../../rig/vec3.js';
import { type Drawn, jointNamed, type PairSource, rigScene, SIDE_WORDS } from './pair-source.js';
import type { Symbols } from './symbols.js';

/** Width of one drawing. Picture units. */
export const SIDE_WIDTH = 340;

/** Both sides with the same bounds, so that they are drawn alike. Null without a rig. */
function shapesOf(source: PairSource): readonly [RigShape, RigShape] | null {
  const [fault, mended] = [source.atFault, source.mended].map((side) => {
    const scene = rigScene(source, side);
    return scene === null ? null : makeRigShape(0, scene, side.report.rigs[0]);
  });
  if (!fault || !mended) return null;
  const bounds = {
    min: outermost(fault, mended, 'min', Math.min),
    max: outermost(fault, mended, 'max', Math.max),
  };
  // What it was compared with has a picture of its own.
  return [
    { ...fault, approved: null, bounds },
    { ...mended, approved: null, bounds },
  ];
}

function outermost(
  { bounds: a }: RigShape,
  { bounds: b }: RigShape,
  end: 'min' | 'max',
  pick: (x: number, y: number) => number,
): Vec3 {
  const [p, q] = [a[end], b[end]];
  return [pick(p[0], q[0]), pick(p[1], q[1]), pick(p[2], q[2])];
}

/** Both sides in one view, of which silhouettes are made. */
function layoutIn(shapes: readonly [RigShape, RigShape], view: View): [RigLayout, RigLayout] {
  const row = { views: [view], width: SIDE_WIDTH };
  return [layoutRig(shapes[0], row), layoutRig(shapes[1], row)];
}

/** Both sides laid out alike in a view. Null without a rig. */
export function layoutSides(source: PairSource, view: View): [RigLayout, RigLayout] | null {
  const shapes = shapesOf(source);
  return shapes && layoutIn(shapes, view);
}

/**
 * A joint from near on both sides, from the same place: its axes, its bones, and what was measured.
 *
 * @param from Looks from there; from where the finding shows best by default.
 */
export function nearPair(
  source: PairSource,
  symbols: Symbols,
  from: View['name'] | null = null,
): Drawn | null {
  const { finding, atFault, mended } = source;
  const shapes = shapesOf(source);
  const subject = shapes && subjectOf(shapes[0], finding);
  if (!shapes || !subject) return null;
  const view = VIEWS.find(({ name }) => name === from) ?? bestView(subject);
  const layouts = layoutIn(shapes, view);
  const shot = shotOf(finding, layouts[0], view);
  if (shot === null) return null;
  const { place } = finding;
  const { joints = [] } = atFault.report.rigs[0] ?? {};
  const above = joints[joints[place.joint ?? -1]?.parent ?? -1]?.name;
  // Where there is no such joint, what it hung on.
  const own = jointNamed(mended, place.name);
  const joint = own === -1 ? jointNamed(mended, above) : own;
  // What is ringed at fault is ringed where it is mended.
  const places = finding.places.flatMap((each) => {
    const there = jointNamed(mended, each.name);
    return there === -1 ? [] : [{ ...each, joint: there }];
  });
  const sound = {
    ...finding,
    evidence: [],
    places,
    place: joint === -1 ? place : { ...place, joint },
  };
  const [a, b] = ([finding, sound] as const).map((each, at) => {
    const label = `${SIDE_WORDS[at]}: ${place.name}`;
    const otherwise = { shot, label, isMended: at === 1 };
    const layout = layouts[at];
    return layout && drawFinding({ number: 1, finding: each }, layout, symbols.idOf, otherwise);
  });
  return a && b ? [a, b] : null;
}
