import { drawFinding, shotOf } from '../../draw/finding-picture.js';
import { layoutRig, type RigLayout } from '../../draw/rig-layout.js';
import { makeRigShape, type RigShape } from '../../draw/rig-shape.js';
import type { FindingReport } from '../../report/report-types.js';
import type { Vec3 } from '../../rig/vec3.js';
import { type Drawn, jointNamed, type PairSide, type PairSource, rigScene } from './pair-source.js';
import { SIDE_WORDS } from './pair-source.js';
import type { Symbols } from './symbols.js';

/** Both sides laid out alike, so that one picture can be laid over the other. Null without a rig. */
export function layoutSides(source: PairSource): readonly [RigLayout, RigLayout] | null {
  const shapes = [source.atFault, source.mended].map((side) => {
    const scene = rigScene(source, side);
    return scene === null ? null : makeRigShape(0, scene, side.report.rigs[0]);
  });
  const [fault, mended] = shapes;
  if (!fault || !mended) return null;
  const bounds = {
    min: outermost(fault, mended, 'min', Math.min),
    max: outermost(fault, mended, 'max', Math.max),
  };
  // What it was compared with has a picture of its own.
  const alike = (shape: RigShape): RigLayout => layoutRig({ ...shape, approved: null, bounds });
  return [alike(fault), alike(mended)];
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

/** A joint from near on both sides, from the same place: its axes, its bones, and what was measured. */
export function nearPair(source: PairSource, symbols: Symbols): Drawn | null {
  const layouts = layoutSides(source);
  if (layouts === null) return null;
  const { finding, mended } = source;
  const shot = shotOf(finding, layouts[0]);
  if (shot === null) return null;
  const joint = jointNamed(mended, finding.place.name);
  const sound = { ...finding, evidence: [], places: [], place: placeAt(finding, mended, joint) };
  const number = 1;
  const drawn = [finding, sound].map((each, at) => {
    const label = `${SIDE_WORDS[at]}: ${finding.place.name}`;
    return layouts[at] && drawFinding(
      { number, finding: each },
      layouts[at],
      symbols.idOf,
      { shot, label, isMended: at === 1 },
    );
  });
  const [a, b] = drawn;
  return a && b ? [a, b] : null;
}

function placeAt({ place }: FindingReport, _side: PairSide, joint: number): FindingReport['place'] {
  return joint === -1 ? place : { ...place, joint };
}
