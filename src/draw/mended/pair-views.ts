import type { JointFindings } from '../joint-findings.js';
import { layoutRig, type RigLayout, type ViewCell } from '../rig-layout.js';
import type { RigShape } from '../rig-shape.js';
import { VIEWS } from '../view.js';
import { drawView } from '../view-picture.js';
import type { ChangedJoint, RigPair } from './rig-pair.js';

/** Before and after stand beside each other: each has room for two views. */
const SHOWN = VIEWS.slice(0, 2);

/** Both sides of a pair, laid out alike in a width each. */
export function layoutPair({ shapes }: RigPair, width: number): readonly [RigLayout, RigLayout] {
  const [before, after] = shapes;
  return [layoutRig(before, { views: SHOWN, width }), layoutRig(after, { views: SHOWN, width })];
}

/**
 * One view of one side, its changed joints numbered and with their axes.
 *
 * @param hasTitle Whether it tells where it looks from.
 */
export function drawSideView(
  shape: RigShape,
  side: 'before' | 'after',
  cell: ViewCell,
  changed: readonly ChangedJoint[],
  body: string,
  hasTitle = true,
): string {
  const look = { hasOthers: false, hasTitle };
  return drawView(shape, cell, marksOf(changed, side), body, [], look).svg;
}

function marksOf(changed: readonly ChangedJoint[], side: 'before' | 'after'): JointFindings[] {
  return changed.flatMap((joint) =>
    joint[side] === -1
      ? []
      : [{ joint: joint[side], numbers: [joint.number], level: 'note', isPlace: true }],
  );
}
