import { drawBones, jointDot } from '../../draw/bones.js';
import { layoutRig } from '../../draw/rig-layout.js';
import { makeRigShape, type RigShape } from '../../draw/rig-shape.js';
import type { RigScene } from '../../draw/scene.js';
import { drawing, element, linePath, textElement } from '../../draw/svg.js';
import { type Point, type Projection, project, projectDirection, VIEWS } from '../../draw/view.js';
import { EDGE } from '../../draw/view-picture.js';
import type { PairSide } from '../pair/pair-source.js';
import { turnedScene } from '../pair/pose-scene.js';
import type { Symbols } from '../pair/symbols.js';

const WIDTH = 420;
/** Height of a picture of the chain at rest, and curled; and how far down its root stands. */
const REST = { height: 150, root: 84 };
const BENT = { height: 230, root: 184 };
const [ARROW, HEAD, LETTER] = [34, 7, 12];
const [, SIDE] = VIEWS;
/** The front half of the caterpillar: a chain of five bones that leaves the body at its saddle. */
const CHAIN = ['saddle', 'ring_fore_1', 'ring_fore_2', 'ring_fore_3', 'ring_fore_4', 'head'];
/** Joints that are picked for the curl, and by how much each is turned. */
const CURLED = CHAIN.slice(1, -1);
const DEGREES = 18;
/** The roll of one joint that shows what the curl is for. */
const ROLLED = { joint: 'ring_fore_2', degrees: 70 };

/** The pictures of the course, step by step: the front half of the caterpillar, from its side. */
export function drawCourse(side: PairSide, symbols: Symbols): string[] {
  const [rest] = side.scene.rigs;
  if (rest === undefined) throw new Error('the course has no rig to draw');
  const curled = turnedScene(side, CURLED, 'X', DEGREES);
  const still = stageOf(side, rest, symbols, REST);
  const bent = stageOf(side, curled, symbols, BENT);
  return [
    picture('Joints one to six are numbered from the saddle to the head.', still, [
      ...still.chain.map((point, at) => numberAt(point, at + 1)),
      outward(still),
    ]),
    picture(
      'Each joint has as much of the body above it as below, at a fold.',
      still,
      still.chain.slice(0, -1).map((point) => middleMark(point, still)),
    ),
    picture(
      'At every joint the Y axis points at the next joint.',
      still,
      still.chain.slice(0, -1).map((point, at) => axisAt(still, at, 1, point)),
    ),
    picture(
      'At every joint the Z axis points up.',
      still,
      still.chain.map((point, at) => axisAt(still, at, 2, point)),
    ),
    picture('The last joint has the axes of the joint before it.', still, [
      ...[4, 5].flatMap((at) => {
        const point = still.chain[at];
        return point === undefined ? [] : [1, 2].map((axis) => axisAt(still, at, axis, point));
      }),
      ...still.chain.slice(-1).map(ringAt),
    ]),
    picture('Turned alike about X, the chain curls in its plane.', bent, [
      ...bent.chain.slice(1, -1).map(ringAt),
      crooked(side, bent),
    ]),
  ];
}

/** What a picture stands on: the shape, and where its chain is in the picture. */
interface Stage {
  readonly shape: RigShape;
  readonly size: Readonly<Record<'height' | 'root', number>>;
  readonly projection: Projection;
  readonly body: string;
  readonly joints: readonly number[];
  readonly chain: readonly Point[];
  readonly seen: (place: readonly [number, number, number]) => Point;
}

function stageOf(
  { report }: PairSide,
  scene: RigScene,
  symbols: Symbols,
  size: Stage['size'],
): Stage {
  const shape = makeRigShape(0, scene, report.rigs[0]);
  const { cells } = layoutRig(shape, { views: [SIDE], width: WIDTH });
  const [cell] = cells;
  if (cell === undefined) throw new Error('a view has a cell');
  const { projection } = cell;
  // As large as the body at rest leaves room for, whatever the pose.
  const zoom = (0.86 * WIDTH) / (projection.scale * SHOWN);
  const centre = [0, CENTRE.y, CENTRE.z] as const;
  const near: Projection = { view: SIDE, centre, scale: projection.scale * zoom };
  const seen = (place: readonly [number, number, number]): Point => {
    const [x, y] = project(near, place);
    return [WIDTH / 2 + x, size.root + y];
  };
  const [cx, cy] = project(projection, centre);
  const id = symbols.idOf(cell);
  const shift = `translate(${(WIDTH / 2 - zoom * cx).toFixed(1)} ${(size.root - zoom * cy).toFixed(1)}) scale(${zoom.toFixed(4)})`;
  const body =
    id === null
      ? ''
      : element('use', { href: `#${id}`, transform: shift, 'stroke-width': EDGE / zoom });
  const joints = CHAIN.map((name) => shape.joints.findIndex((joint) => joint.name === name));
  const chain = joints.flatMap((joint) => {
    const place = shape.joints[joint]?.place;
    return place ? [seen(place)] : [];
  });
  return { shape, size, projection: near, body, joints, chain, seen };
}

/** How much of the caterpillar a picture shows across, in metres, and what is in its middle. */
const SHOWN = 0.68;
const CENTRE = { y: 0.085, z: 0.25 };

function picture(
  label: string,
  { shape, size, body, seen, joints }: Stage,
  marks: string[],
): string {
  const places = shape.joints.map(({ place }) => (place === null ? null : seen(place)));
  const dots = joints.flatMap((joint) => {
    const place = places[joint];
    return place ? [jointDot(place, shape.joints[joint]?.movesSkin !== false, 4)] : [];
  });
  const bones = drawBones(shape.joints, places);
  return drawing('course', label, [0, 0, WIDTH, size.height], body, bones, ...dots, ...marks);
}

function numberAt([x, y]: Point, number: number): string {
  return (
    element('circle', { class: 'drawing-badge drawing-step', cx: x, cy: y - 24, r: 9.5 }) +
    textElement(x, y - 19.8, 'drawing-number', String(number))
  );
}

/** An arrow below the chain, from the body outward. */
function outward({ chain }: Stage): string {
  const [first, last] = [chain[0], chain.at(-1)];
  if (first === undefined || last === undefined) return '';
  const y = first[1] + 46;
  return (
    arrow([first[0], y], [last[0], y], 'drawing-evidence', 'drawing-head') +
    textElement((first[0] + last[0]) / 2 - 30, y + 17, 'drawing-text', 'from the body outward', {
      'font-size': LETTER,
    })
  );
}

/** A line across the body, with equal halves marked. */
function middleMark([x, y]: Point, { projection }: Stage): string {
  const half = 0.06 * projection.scale;
  const tick = (at: number): string => `M${x - 4} ${at.toFixed(1)}h8`;
  return element('path', {
    class: 'drawing-solid drawing-middle',
    d: `M${x.toFixed(1)} ${(y - half).toFixed(1)}V${(y + half).toFixed(1)}${tick(y - half / 2)}${tick(y + half / 2)}`,
  });
}

/** One local axis of a joint of the chain, with its letter. */
function axisAt(
  { shape, joints, projection }: Stage,
  at: number,
  axis: number,
  from: Point,
): string {
  const vector = shape.joints[joints[at] ?? -1]?.axes?.[axis];
  if (vector === undefined) return '';
  const [x, y] = projectDirection(projection, vector);
  const to: Point = [from[0] + ARROW * x, from[1] + ARROW * y];
  const name = 'xyz'[axis] ?? 'x';
  const letter: Point = [
    from[0] + (ARROW + 9) * x + 9 * Math.abs(y),
    from[1] + (ARROW + 4) * y - 8 * Math.abs(x),
  ];
  return (
    arrow(
      from,
      to,
      `drawing-axis drawing-${name} drawing-strong-axis`,
      `drawing-tip drawing-${name}`,
    ) +
    textElement(letter[0], letter[1] + 4, `drawing-letter drawing-${name}`, name.toUpperCase(), {
      'font-size': LETTER,
    })
  );
}

function ringAt([cx, cy]: Point): string {
  return element('circle', { class: 'drawing-ring drawing-sound', cx, cy, r: 9 });
}

/** The same curl of a chain of which one joint is rolled, dashed. */
function crooked(side: PairSide, { seen }: Stage): string {
  const rolled = turnedScene(side, [ROLLED.joint], 'Y', ROLLED.degrees);
  const names = CHAIN.slice(CHAIN.indexOf(ROLLED.joint) + 1);
  // Its children stay where they were, as they do when a frame alone is turned.
  const back = turnedSceneOf(side, rolled, names);
  const shape = makeRigShape(0, back, side.report.rigs[0]);
  const points = CHAIN.flatMap((name) => {
    const place = shape.joints.find((joint) => joint.name === name)?.place;
    return place ? [seen(place)] : [];
  });
  return element('path', { class: 'drawing-dashed', d: linePath(points) });
}

/** Rolls the child of a rolled joint back, and then curls the chain. */
function turnedSceneOf(side: PairSide, rolled: RigScene, names: readonly string[]): RigScene {
  const [child = ''] = names;
  const asSide = (scene: RigScene): PairSide => ({ ...side, scene: { rigs: [scene] } });
  const back = turnedScene(asSide(rolled), [child], 'Y', -ROLLED.degrees);
  return turnedScene(asSide(back), CURLED, 'X', DEGREES);
}

function arrow(from: Point, to: Point, line: string, head: string): string {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (length < HEAD) return '';
  const [ux, uy] = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
  const base: Point = [to[0] - HEAD * ux, to[1] - HEAD * uy];
  const [sx, sy] = [(-uy * HEAD) / 2, (ux * HEAD) / 2];
  const points = [to, [base[0] + sx, base[1] + sy], [base[0] - sx, base[1] - sy]]
    .map(([x = 0, y = 0]) => `${x.toFixed(1)},${y.toFixed(1)}`)
    .join(' ');
  return (
    element('path', { class: line, d: linePath([from, base]) }) +
    element('polygon', { class: head, points })
  );
}
