import type { Vector3 } from 'three';
import { type Box, boxAbout } from '../../draw/placement.js';
import { drawApproved } from './draw-approved.js';
import { DOT, drawAllAxes, drawBones, drawChain, drawDots, type ShownChain } from './draw-rig.js';
import { makeRoom, type Room, shortened } from './labels.js';
import { placeOf } from './live-bones.js';
import type { LiveRig } from './live-rig.js';
import type { JointMark, Marks } from './marks.js';
import type { Spot } from './sight.js';
import { circle, isOutside, type Pen, stroke } from './strokes.js';
import { drawTripod } from './tripod.js';

export interface JointOf {
  readonly rig: number;
  readonly joint: number;
}

export function isSame(a: JointOf | null, b: JointOf | null): boolean {
  return a?.rig === b?.rig && a?.joint === b?.joint;
}

/** What is drawn over the meshes. */
export interface Overlay {
  readonly rigs: readonly LiveRig[];
  readonly marks: Marks;
  readonly chosen: JointOf | null;
  readonly hovered: JointOf | null;
  readonly allAxes: boolean;
  readonly chain: ShownChain | undefined;
  /** Where the joints of the approved rig of each rig are shown, world of the stage; none where it is hidden. */
  readonly approved: readonly (readonly Vector3[])[];
}

/** Of the ring around the chosen joint, and of its tripod. CSS pixels. */
const [RING, CHOSEN_AXIS] = [11, 46];

/** The numbers of a joint, and where they are written. CSS pixels on the canvas. */
export interface ShownMark {
  readonly mark: JointMark;
  readonly box: Box;
}

/**
 * Draws joints, bones, axes and names. They lie over the mesh wherever they are in depth, so a flat
 * canvas does it, with lines and letters as sharp as the page's own. Returns the numbers that are shown.
 */
export function drawOverlay(pen: Pen, overlay: Overlay): ShownMark[] {
  const { context, sight } = pen;
  const { rigs, marks, chosen, hovered, chain } = overlay;
  context.clearRect(0, 0, sight.width, sight.height);
  context.lineCap = 'round';
  context.lineJoin = 'round';
  const room = makeRoom(pen);
  rigs.forEach((rig, index) => {
    const spots = rig.joints.map((_, joint) => sight.spot(placeOf(rig, joint)));
    drawApproved(pen, rig.approved?.data.jointParents ?? [], overlay.approved[index] ?? []);
    drawBones(pen, rig, spots);
    if (chain?.rig === index) drawChain(pen, chain, spots);
    const chosenHere = chosen?.rig === index ? chosen.joint : -1;
    if (overlay.allAxes) drawAllAxes(pen, rig, spots, (joint) => joint !== chosenHere);
    drawDots(pen, rig, spots, marks.levels[index]);
  });
  const named = chosen === null ? [] : drawChosen(pen, overlay, chosen, room);
  // What is only pointed at is named, and is no link: it would come and go below the pointer.
  if (hovered !== null && !isSame(hovered, chosen)) drawName(pen, overlay, hovered, room);
  return [...named, ...drawNumbers(pen, overlay, room)];
}

function spotOf({ sight }: Pen, { rigs }: Overlay, { rig, joint }: JointOf): Spot | null {
  const live = rigs[rig];
  return live?.joints[joint] === undefined ? null : sight.spot(placeOf(live, joint));
}

function drawChosen(pen: Pen, overlay: Overlay, chosen: JointOf, room: Room): ShownMark[] {
  const { theme } = pen;
  const bone = overlay.rigs[chosen.rig]?.joints[chosen.joint];
  const spot = spotOf(pen, overlay, chosen);
  if (bone === undefined || spot === null) return [];
  const ring = circle(spot, RING);
  stroke(pen, ring, theme.paper, 5, 0.8);
  stroke(pen, ring, theme.accent, 2.5);
  room.take(boxAbout(spot.x, spot.y, 2 * RING, 2 * RING));
  for (const box of drawTripod(pen, bone.matrixWorld, CHOSEN_AXIS, true)) room.take(box);
  return drawName(pen, overlay, chosen, room);
}

/** The name of a joint, and the numbers of what was found at it. */
function drawName(pen: Pen, overlay: Overlay, named: JointOf, room: Room): ShownMark[] {
  const spot = spotOf(pen, overlay, named);
  if (spot === null) return [];
  const name = shortened(overlay.rigs[named.rig]?.jointNames[named.joint] ?? '');
  const mark = overlay.marks.numbers.find((other) => isSame(other, named));
  const words = mark === undefined ? name : `${name} (${mark.words})`;
  const box = room.label(words, spot, RING + 3, null);
  return mark === undefined || box === null ? [] : [{ mark, box }];
}

/** Numbers of the findings at their joints, where there is room. */
function drawNumbers(pen: Pen, overlay: Overlay, room: Room): ShownMark[] {
  const shown: ShownMark[] = [];
  for (const mark of overlay.marks.numbers) {
    // A joint that is named has its numbers beside its name.
    if (isSame(mark, overlay.chosen) || isSame(mark, overlay.hovered)) continue;
    const spot = spotOf(pen, overlay, mark);
    if (spot === null || isOutside(spot, pen.sight)) continue;
    const box = room.label(mark.words, spot, DOT + 4, pen.theme[mark.level]);
    if (box !== null) shown.push({ mark, box });
  }
  return shown;
}
