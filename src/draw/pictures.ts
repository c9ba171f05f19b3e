import { LEVELS } from '../kit/finding.js';
import type { AssetPictures, UnnumberedView } from '../report/asset-pictures.js';
import { findingNumbers } from '../report/finding-numbers.js';
import type { AssetReport } from '../report/report-types.js';
import type { Vec3 } from '../rig/vec3.js';
import { drawBones } from './bones.js';
import { drawFinding } from './finding-picture.js';
import { byJoint, byJointAndRule, type JointFindings, numbered } from './joint-findings.js';
import { INNER_WIDTH, layoutRig, type RigLayout, type ViewCell } from './rig-layout.js';
import { drawRig } from './rig-picture.js';
import { makeRigShape, type RigShape } from './rig-shape.js';
import type { Scene } from './scene.js';
import { makeSilhouette } from './silhouette.js';
import { drawing, element, oneDecimal } from './svg.js';
import { shortName } from './text-size.js';
import {
  centreOf,
  fitFactor,
  type Point,
  type Projection,
  project,
  shownSize,
  type View,
} from './view.js';
import { drawView, EDGE, silhouettePaths } from './view-picture.js';

/** Findings that get a picture: a page of thousands would be too large to open. */
const MOST_FINDINGS = 500;
/** Room at the left and right of a sheet, so that no line is cut. Picture units. */
const MARGIN = 8;
const HIDDEN = { class: 'drawing-defs', width: 0, height: 0, 'aria-hidden': 'true' };
/** The small outline stays under 6 KB: letters of it, and bones where there is no mesh. */
const SMALL = { width: 160, height: 120, margin: 8, letters: 5000, bones: 150 };
const SMALL_FRAME = [-SMALL.width / 2, -SMALL.height / 2, SMALL.width, SMALL.height] as const;
/** By how much another view must show more to be taken instead of one before it. */
const MORE = 1.02;

/**
 * Draws one asset for a page that sets `DRAWING_CSS` once. Nothing has a `style` attribute or leads
 * outside. Findings past the first 500 have no picture.
 *
 * @param withViews Whether each rig is drawn on its own as well.
 */
export function drawPictures(
  scene: Scene,
  asset: AssetReport,
  withViews = false,
): Omit<AssetPictures, 'data'> {
  const layouts = scene.rigs.map((rig, index) =>
    layoutRig(makeRigShape(index, rig, asset.rigs[index])),
  );
  const symbols = layouts.map(silhouetteSymbols);
  const largest = layouts[largestOf(layouts)];
  const numbers = findingNumbers(asset.findings);
  return {
    defs: element('svg', HIDDEN, ...symbols),
    sheets: layouts.map((layout) => sheet(layout, asset)),
    findings: asset.findings.map((finding, index) => {
      const layout = layouts[finding.rig ?? -1];
      const number = numbers[index] ?? 0;
      if (layout === undefined || number > MOST_FINDINGS) return null;
      return drawFinding({ number, finding }, layout, (cell) => symbolId(layout, cell));
    }),
    silhouette:
      largest === undefined
        ? drawing('small', 'Nothing to draw', SMALL_FRAME)
        : smallView(largest, fullestCell(largest), asset),
    views: withViews ? layouts.map((layout) => rigView(layout, asset)) : [],
  };
}

function sheet(layout: RigLayout, asset: AssetReport): string {
  const { index, scene } = layout.shape;
  const use = (cell: ViewCell): string => {
    const id = symbolId(layout, cell);
    return id === null ? '' : element('use', { href: `#${id}`, 'stroke-width': EDGE });
  };
  const { svg, height } = drawRig(layout, numbered(asset, index), use);
  const frame = [-MARGIN, 0, INNER_WIDTH + 2 * MARGIN, Math.ceil(height)] as const;
  const label = `Rig ${shortName(scene.name)} from the front, the side and the top, with its findings marked`;
  return drawing('sheet', label, frame, svg);
}

/** The silhouettes of a rig as symbols, which its views and pictures from near refer to. */
export function silhouetteSymbols(layout: RigLayout): string {
  return layout.cells.map((cell) => symbol(layout, cell)).join('');
}

/** Null for a view that shows no mesh. */
export function symbolId(
  { shape }: RigLayout,
  { projection, silhouette }: ViewCell,
): string | null {
  return silhouette.body === '' ? null : `drawing-rig${shape.index}-${projection.view.name}`;
}

/** Without a view box a symbol has the coordinates of what uses it. */
function symbol(layout: RigLayout, cell: ViewCell): string {
  const id = symbolId(layout, cell);
  if (id === null) return '';
  return element('symbol', { id, overflow: 'visible' }, silhouettePaths(cell.silhouette));
}

/** The rig that is shown where there is room for one. */
function largestOf(layouts: readonly RigLayout[]): number {
  const weights = layouts.map(
    ({ shape: { mesh, joints } }) => mesh.triangles.length * 1e6 + joints.length,
  );
  return weights.indexOf(Math.max(...weights));
}

/** One rig from the side that shows most of it, small; whole, from the side that tells most. */
function rigView(layout: RigLayout, asset: AssetReport) {
  const cell = tellingCell(layout);
  const { shape } = layout;
  const groups = byJointAndRule(asset, shape.index, roomyNumbers(asset));
  const { x, y, width, height } = cell.tight;
  const alone = { ...cell, bounds: cell.tight };
  const { ground, badges } = drawView(shape, alone, groups, wholeBody(cell), [], {
    hasOthers: false,
  });
  const label = `Rig ${shortName(shape.scene.name)}, ${cell.projection.view.title}, with its findings marked`;
  const whole: UnnumberedView = { label, frame: [x, y, width, height], ground: ground(), badges };
  return { small: smallView(layout, fullestCell(layout), asset), whole };
}

/** A number for each rule that found something, all as wide as the last one of a list of these rules. */
function roomyNumbers({ findings }: AssetReport): Map<string, number> {
  const ids = [...new Set(findings.map(({ rule }) => rule))];
  const first = 10 ** (String(ids.length).length - 1);
  return new Map(ids.map((rule, at) => [rule, first + at]));
}

/** The outline, the joints, and those with a finding. */
function smallView(
  { shape }: RigLayout,
  { projection: { view } }: ViewCell,
  asset: AssetReport,
): string {
  const label = `Outline of rig ${shortName(shape.scene.name)}, joints with findings marked. ${view.title}`;
  const found = byJoint(numbered(asset, shape.index));
  return drawing('small', label, SMALL_FRAME, smallOutline(shape, view, found));
}

function wholeBody({ silhouette }: ViewCell): string {
  return element('g', { 'stroke-width': EDGE }, silhouettePaths(silhouette));
}

/** The view in which the mesh covers most; of a rig without a mesh, in which its bones are longest. */
function fullestCell({ shape, cells }: RigLayout): ViewCell {
  const shown = ({ projection, silhouette }: ViewCell): number =>
    silhouette.area > 0 ? silhouette.area : bonesSeen(shape, projection);
  return cells.reduce((most, cell) => (shown(cell) > shown(most) * MORE ? cell : most));
}

/** Beside another rig, the view in which the joints that are elsewhere are farthest apart; else the fullest. */
function tellingCell(layout: RigLayout): ViewCell {
  const gaps = layout.shape.approved?.gaps ?? [];
  const shown = ({ projection }: ViewCell): number => lengthSeen(gaps, projection);
  const fullest = fullestCell(layout);
  return layout.cells.reduce(
    (most, cell) => (shown(cell) > shown(most) * MORE ? cell : most),
    fullest,
  );
}

function bonesSeen({ joints }: RigShape, projection: Projection): number {
  const bones = joints.flatMap(({ place, parent }): (readonly [Vec3, Vec3])[] => {
    const from = joints[parent]?.place ?? null;
    return place === null || from === null ? [] : [[from, place]];
  });
  return lengthSeen(bones, projection);
}

/** How long lines look together. */
function lengthSeen(lines: readonly (readonly [Vec3, Vec3])[], projection: Projection): number {
  return lines.reduce((sum, [from, to]) => {
    const [[x, y], [u, v]] = [project(projection, to), project(projection, from)];
    return sum + Math.hypot(x - u, y - v);
  }, 0);
}

function smallOutline(
  { bounds, mesh, joints }: RigShape,
  view: View,
  found: readonly JointFindings[],
): string {
  const { width, height, margin, letters, bones } = SMALL;
  const [across, down] = shownSize(bounds, view);
  const scale = fitFactor([width - 2 * margin, height - 2 * margin], [across, down]);
  const projection = { view, centre: centreOf(bounds), scale };
  const size = [across * scale, down * scale] as const;
  const { body } = makeSilhouette(mesh, projection, size, { body: letters, creases: 0 });
  const places = joints.map(({ place }) => place && project(projection, place));
  const outline =
    body === ''
      ? drawBones(joints.slice(0, bones), places)
      : element('path', { class: 'drawing-body', 'stroke-width': EDGE, d: body });
  const marked = new Set(found.slice(0, bones).map(({ joint }) => joint));
  const others = joints.flatMap((_, joint) => (marked.has(joint) ? [] : [joint]));
  // The gravest last, so that it lies on top.
  const marks = [...LEVELS].reverse().map((level) => {
    const here = found.filter((entry) => marked.has(entry.joint) && entry.level === level);
    return dots(
      here.map(({ joint }) => places[joint] ?? null),
      ` drawing-${level}`,
    );
  });
  const all = dots(
    others.slice(0, bones).map((joint) => places[joint] ?? null),
    '',
  );
  return [outline, all, ...marks].join('');
}

/** Dots as one path of lines without a length, which is a fifth of as many circles. */
function dots(places: readonly (Point | null)[], look: string): string {
  const d = places.map((place) => place && `M${place.map(oneDecimal).join(' ')}h0`).join('');
  return d === '' ? '' : element('path', { class: `drawing-dots${look}`, d });
}
