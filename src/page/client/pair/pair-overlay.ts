import { drawAllAxes, drawBones, drawDots } from '../draw-rig.js';
import { makeRoom, shortened } from '../labels.js';
import { placeOf } from '../live-bones.js';
import type { LiveRig } from '../live-rig.js';
import type { JointOf } from '../overlay.js';
import { circle, type Pen, stroke } from '../strokes.js';
import { drawTripod } from '../tripod.js';

/** One side of the divided view: its rigs, and which joints of each are marked and chosen. */
export interface SideShown {
  readonly rigs: readonly LiveRig[];
  /** By rig: joints that the mend changed. */
  readonly changed: readonly ReadonlySet<number>[];
  readonly chosen: JointOf | null;
  readonly hovered: JointOf | null;
}

const [RING, CHOSEN_AXIS] = [11, 46];

/** Draws the skeletons of one side between two edges of the canvas, CSS pixels from the left. */
export function drawSide(
  pen: Pen,
  { rigs, changed, chosen, hovered }: SideShown,
  [from, to]: readonly [number, number],
  axes: boolean,
): void {
  const { context, sight, theme } = pen;
  context.save();
  context.beginPath();
  context.rect(from, 0, to - from, sight.height);
  context.clip();
  rigs.forEach((rig, index) => {
    const spots = rig.joints.map((_, joint) => sight.spot(placeOf(rig, joint)));
    const marked = changed[index] ?? new Set();
    const chosenHere = chosen?.rig === index ? chosen.joint : -1;
    drawBones(pen, rig, spots);
    if (axes) drawAllAxes(pen, rig, spots, (joint) => marked.has(joint) && joint !== chosenHere);
    drawDots(pen, rig, spots, new Map([...marked].map((joint) => [joint, 'note'])));
  });
  const room = makeRoom(pen);
  for (const named of [chosen, hovered]) {
    const rig = rigs[named?.rig ?? -1];
    const bone = rig?.joints[named?.joint ?? -1];
    const spot = rig && named && bone && sight.spot(placeOf(rig, named.joint));
    if (!spot || !bone) continue;
    if (named === chosen) {
      const ring = circle(spot, RING);
      stroke(pen, ring, theme.paper, 5, 0.8);
      stroke(pen, ring, theme.accent, 2.5);
      for (const box of drawTripod(pen, bone.matrixWorld, CHOSEN_AXIS, true)) room.take(box);
    }
    room.label(shortened(rig.jointNames[named.joint] ?? ''), spot, RING + 3, null);
  }
  context.restore();
}
