import { VIEWS, type View } from '../../../draw/view.js';
import { LETTERS, type Letter } from '../../../rig/letters.js';
import type { Theme } from '../theme.js';
import { curledWorld, type Side, skinned } from './live-side.js';

/** What of the world a picture shows: its middle, and how much to each side. */
export interface Frame {
  readonly middle: readonly [x: number, y: number];
  readonly reach: number;
}

type Spot = readonly [x: number, y: number];

/** Angles that the chain is looked at with, so that no curl leaves the picture. Degrees. */
const SEEN = [-90, -45, -20, 0, 20, 45, 90];
/** Free room around the chain, as a share of its reach. */
const ROOM = 1.25;

/** The view of a name. */
export function viewOf(name: View['name']): View {
  return VIEWS.find((view) => view.name === name) ?? VIEWS[0];
}

/** The frame in which both sides curl. */
export function frameOf(sides: readonly Side[], view: View, letter: Letter): Frame {
  const spots = sides.flatMap((side) =>
    SEEN.flatMap((degrees) => {
      const world = curledWorld(side, letter, degrees);
      return shownNodes(side).map((node) => spotOf(world, node, view));
    }),
  );
  const [xs, ys] = [spots.map(([x]) => x), spots.map(([, y]) => y)];
  const [left, right, low, high] = [
    Math.min(...xs),
    Math.max(...xs),
    Math.min(...ys),
    Math.max(...ys),
  ];
  const reach = (ROOM * Math.max(right - left, high - low)) / 2;
  return { middle: [(left + right) / 2, (low + high) / 2], reach: reach > 0 ? reach : 1 };
}

/** The joint that the chain hangs on, the chain, and all that hangs on it. */
function shownNodes({ turned, joints, parents }: Side): number[] {
  const moved = new Set<number>();
  parents.forEach((parent, node) => {
    if (turned.has(node) || moved.has(parent)) moved.add(node);
  });
  return joints.filter(
    (node) =>
      moved.has(node) || joints.some((other) => turned.has(other) && parents[other] === node),
  );
}

function spotOf(world: Float64Array, node: number, view: View): Spot {
  const at = 16 * node + 12;
  return along([world[at] ?? 0, world[at + 1] ?? 0, world[at + 2] ?? 0], view);
}

function along([x, y, z]: readonly [number, number, number], { right, up }: View): Spot {
  return [x * right[0] + y * right[1] + z * right[2], x * up[0] + y * up[1] + z * up[2]];
}

/** Draws one side, curled; nothing where the canvas is not shown. */
export function paintSide(
  canvas: HTMLCanvasElement,
  side: Side,
  curl: { readonly letter: Letter; readonly degrees: number },
  { view, frame }: { readonly view: View; readonly frame: Frame },
  theme: Theme,
): void {
  const context = canvas.getContext('2d');
  if (context === null) return;
  const density = globalThis.devicePixelRatio || 1;
  const [width, height] = [canvas.clientWidth, canvas.clientHeight];
  if (width === 0) return;
  canvas.width = Math.round(width * density);
  canvas.height = Math.round(height * density);
  context.setTransform(density, 0, 0, density, 0, 0);
  const scale = Math.min(width, height) / (2 * frame.reach);
  const place = ([x, y]: Spot): Spot => [
    width / 2 + (x - frame.middle[0]) * scale,
    height / 2 - (y - frame.middle[1]) * scale,
  ];
  const world = curledWorld(side, curl.letter, curl.degrees);
  paintBody(context, side, world, view, place, theme);
  context.lineCap = 'round';
  context.lineJoin = 'round';
  paintBones(context, side, world, view, place, theme);
  for (const node of side.chain) paintAxes(context, world, node, view, place, curl.letter, theme);
}

/** The silhouette: all triangles with an edge around them, then filled. */
function paintBody(
  context: CanvasRenderingContext2D,
  side: Side,
  world: Float64Array,
  view: View,
  place: (spot: Spot) => Spot,
  { quiet, paper }: Theme,
): void {
  const points = skinned(side, world);
  const spots: Spot[] = [];
  for (let i = 0; i < points.length; i += 3)
    spots.push(place(along([points[i] ?? 0, points[i + 1] ?? 0, points[i + 2] ?? 0], view)));
  const path = new Path2D();
  const { triangles } = side;
  for (let i = 0; i + 2 < triangles.length; i += 3) {
    const [a, b, c] = [
      spots[triangles[i] ?? 0],
      spots[triangles[i + 1] ?? 0],
      spots[triangles[i + 2] ?? 0],
    ];
    if (a === undefined || b === undefined || c === undefined) continue;
    // All the same way round, so that none takes another out.
    const area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
    const [second, third] = area < 0 ? [c, b] : [b, c];
    path.moveTo(...a);
    path.lineTo(...second);
    path.lineTo(...third);
    path.closePath();
  }
  context.lineJoin = 'round';
  context.globalAlpha = 1;
  context.lineWidth = 2.4;
  context.strokeStyle = mixed(quiet, 0.55, paper);
  context.stroke(path);
  context.fillStyle = mixed(quiet, 0.16, paper);
  context.fill(path);
  // Seams between triangles.
  context.lineWidth = 0.7;
  context.strokeStyle = mixed(quiet, 0.16, paper);
  context.stroke(path);
}

/** A colour over another, opaque, so that what overlaps is not darker. */
function mixed(colour: string, share: number, ground: string): string {
  return `color-mix(in srgb, ${colour} ${100 * share}%, ${ground})`;
}

function paintBones(
  context: CanvasRenderingContext2D,
  { parents, joints, turned }: Side,
  world: Float64Array,
  view: View,
  place: (spot: Spot) => Spot,
  { ink, quiet, accent, paper }: Theme,
): void {
  const isJoint = new Set(joints);
  for (const node of joints) {
    let above = parents[node] ?? -1;
    while (above !== -1 && !isJoint.has(above)) above = parents[above] ?? -1;
    if (above === -1) continue;
    context.beginPath();
    context.moveTo(...place(spotOf(world, above, view)));
    context.lineTo(...place(spotOf(world, node, view)));
    context.strokeStyle = turned.has(above) ? accent : quiet;
    context.lineWidth = turned.has(above) ? 3 : 1.4;
    context.stroke();
  }
  for (const node of joints) {
    context.beginPath();
    context.arc(...place(spotOf(world, node, view)), turned.has(node) ? 4 : 2.4, 0, 2 * Math.PI);
    context.fillStyle = turned.has(node) ? ink : quiet;
    context.fill();
    if (!turned.has(node)) continue;
    context.strokeStyle = paper;
    context.lineWidth = 1.2;
    context.stroke();
  }
}

const AXIS = 24;

function paintAxes(
  context: CanvasRenderingContext2D,
  world: Float64Array,
  node: number,
  view: View,
  place: (spot: Spot) => Spot,
  letter: Letter,
  theme: Theme,
): void {
  const from = place(spotOf(world, node, view));
  LETTERS.forEach((name, axis) => {
    const at = 16 * node + 4 * axis;
    const vector = [world[at] ?? 0, world[at + 1] ?? 0, world[at + 2] ?? 0] as const;
    const size = Math.hypot(...vector);
    if (size === 0) return;
    const [x, y] = along(vector, view);
    const tip: Spot = [from[0] + (AXIS * x) / size, from[1] - (AXIS * y) / size];
    const colour = theme[`axis-${name.toLowerCase() as 'x' | 'y' | 'z'}`];
    context.strokeStyle = colour;
    context.lineWidth = name === letter ? 2.6 : 1.4;
    context.beginPath();
    context.moveTo(...from);
    context.lineTo(...tip);
    context.stroke();
    // An axis that points at the viewer has no room for its letter.
    if (Math.hypot(x, y) < 0.35 * size) return;
    context.font = `${name === letter ? 700 : 500} 11px system-ui, sans-serif`;
    context.textAlign = 'center';
    context.textBaseline = 'middle';
    context.lineWidth = 3;
    context.strokeStyle = theme.paper;
    const [tx, ty] = [from[0] + (1.3 * AXIS * x) / size, from[1] - (1.3 * AXIS * y) / size];
    context.strokeText(name, tx, ty);
    context.fillStyle = colour;
    context.fillText(name, tx, ty);
  });
}
