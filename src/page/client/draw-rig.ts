import type { Vector3 } from 'three';
import type { LiveRig } from './live-rig.js';
import type { Marks } from './marks.js';
import type { Spot } from './sight.js';
import { circle, isOutside, type Pen, polyline, stroke } from './strokes.js';
import { drawTripod } from './tripod.js';

/** Where the joints of a rig are on the canvas; null for those that are not in front of the eye. */
type Spots = readonly (Spot | null)[];

type Levels = Marks['levels'][number];

/** The chosen chain of one rig. */
export interface ShownChain {
  readonly rig: number;
  readonly joints: readonly number[];
  /** Their places with the other frames, world of the stage; none when nothing is curled. */
  readonly compared: readonly Vector3[];
  /** Where in the chain the two are farthest apart; null when nothing is curled. */
  readonly worst: number | null;
}

const BONE_WIDTH = 1.4;
const CHAIN_WIDTH = 2.6;
const COMPARED_WIDTH = 1.8;
const HALO = 2;
const DASH = [6, 5];
const CROSS = 3;
/** Radius of a joint's dot where bones are long enough for it. CSS pixels. */
export const DOT = 3.2;
const SMALLEST_DOT = 1.4;
/** Of the middle bone: dots of a dense chain must leave its bones in sight. */
const DOT_SHARE = 0.22;
/** How much larger the dot of a joint with a finding is. */
const FOUND = 1.6;

/** Bones as thin lines, those to joints that move no skin below the others and fainter. */
export function drawBones(pen: Pen, rig: LiveRig, spots: Spots): void {
  const { theme } = pen;
  for (const bending of [false, true]) {
    const path = new Path2D();
    spots.forEach((to, joint) => {
      const from = spots[rig.data.jointParents[joint] ?? -1];
      if (!from || !to || (rig.movesSkin[joint] ?? true) !== bending) return;
      path.moveTo(from.x, from.y);
      path.lineTo(to.x, to.y);
    });
    stroke(pen, path, theme.paper, BONE_WIDTH + HALO, 0.55);
    stroke(pen, path, bending ? theme.ink : theme.quiet, BONE_WIDTH, bending ? 0.85 : 0.55);
  }
}

/** Joints as dots, hollow where they move no skin, in the colour of what was found at them. */
export function drawDots(pen: Pen, rig: LiveRig, spots: Spots, levels: Levels | undefined): void {
  const { context, theme } = pen;
  const radius = Math.min(DOT, Math.max(SMALLEST_DOT, DOT_SHARE * middleBone(rig, spots)));
  spots.forEach((spot, joint) => {
    if (spot === null) return;
    const level = levels?.get(joint);
    const dot = circle(spot, level === undefined ? radius : radius + FOUND);
    const movesSkin = rig.movesSkin[joint] ?? true;
    if (movesSkin) stroke(pen, dot, theme.paper, HALO, 0.9);
    context.fillStyle = movesSkin ? theme[level ?? 'ink'] : theme.paper;
    context.fill(dot);
    if (!movesSkin) stroke(pen, dot, theme[level ?? 'quiet'], 1.3);
  });
}

/** Lengths of a small tripod's axes; with letters from a length on. CSS pixels. */
const [SHORTEST_AXIS, LONGEST_AXIS, LETTERED_AXIS] = [7, 36, 20];
/** Of the bone that leads to the joint. */
const AXIS_SHARE = 0.4;

/** Small tripods at joints, no longer than their bones leave room for. */
export function drawAllAxes(
  pen: Pen,
  rig: LiveRig,
  spots: Spots,
  isShown: (joint: number) => boolean,
): void {
  rig.joints.forEach((bone, joint) => {
    const [spot, parent] = [spots[joint], spots[rig.data.jointParents[joint] ?? -1]];
    if (!spot || !isShown(joint) || isOutside(spot, pen.sight)) return;
    const room = parent
      ? AXIS_SHARE * Math.hypot(spot.x - parent.x, spot.y - parent.y)
      : LETTERED_AXIS;
    const length = Math.min(LONGEST_AXIS, Math.max(SHORTEST_AXIS, room));
    drawTripod(pen, bone.matrixWorld, length, length >= LETTERED_AXIS);
  });
}

/** The chain as it is, solid, over the other, dashed: where the two part, both show. */
export function drawChain(pen: Pen, { joints, compared, worst }: ShownChain, spots: Spots): void {
  const { context, theme, sight } = pen;
  if (compared.length > 0) {
    const others = compared.map((point) => sight.spot(point));
    const line = polyline(others);
    const crosses = new Path2D();
    for (const spot of others) {
      if (spot === null) continue;
      for (const rise of [-CROSS, CROSS]) {
        crosses.moveTo(spot.x - CROSS, spot.y - rise);
        crosses.lineTo(spot.x + CROSS, spot.y + rise);
      }
    }
    stroke(pen, line, theme.paper, COMPARED_WIDTH + HALO, 0.7);
    context.setLineDash(DASH);
    stroke(pen, line, theme.ink, COMPARED_WIDTH);
    context.setLineDash([]);
    stroke(pen, crosses, theme.ink, 1.5);
    const ends = [others[worst ?? -1], spots[joints[worst ?? -1] ?? -1]];
    stroke(pen, polyline(ends.map((spot) => spot ?? null)), theme.quiet, 1);
  }
  const line = polyline(joints.map((joint) => spots[joint] ?? null));
  stroke(pen, line, theme.paper, CHAIN_WIDTH + HALO, 0.7);
  stroke(pen, line, theme.accent, CHAIN_WIDTH, 0.9);
}

/** Median length of a bone on the canvas. CSS pixels. */
function middleBone(rig: LiveRig, spots: Spots): number {
  const lengths = spots.flatMap((spot, joint) => {
    const parent = spots[rig.data.jointParents[joint] ?? -1];
    return spot && parent ? [Math.hypot(spot.x - parent.x, spot.y - parent.y)] : [];
  });
  lengths.sort((a, b) => a - b);
  return lengths[lengths.length >> 1] ?? DOT / DOT_SHARE;
}
