import { LEVELS } from '../kit/finding.js';
import type { AssetPictures } from '../report/asset-pictures.js';
import { findingNumbers } from '../report/finding-numbers.js';
import type { AssetReport } from '../report/report-types.js';
import { drawBones } from './bones.js';
import { drawFinding } from './finding-picture.js';
import { byJoint, type JointFindings, numbered } from './joint-findings.js';
import { INNER_WIDTH, layoutRig, type RigLayout, type ViewCell } from './rig-layout.js';
import { drawRig } from './rig-picture.js';
import { makeRigShape, type RigShape } from './rig-shape.js';
import type { Scene } from './scene.js';
import { makeSilhouette } from './silhouette.js';
import { drawing, element, oneDecimal } from './svg.js';
import { shortName } from './text-size.js';
import { centreOf, fitFactor, type Point, project, shownSize, VIEWS } from './view.js';
import { EDGE, silhouettePaths } from './view-picture.js';

/** Findings that get a picture: a page of thousands would be too large to open. */
const MOST_FINDINGS = 500;
/** Room at the left and right of a sheet, so that no line is cut. Picture units. */
const MARGIN = 8;
const HIDDEN = { class: 'drawing-defs', width: 0, height: 0, 'aria-hidden': 'true' };
/** The small front view stays under 6 KB: letters of its outline, and bones where it has no mesh. */
const SMALL = { width: 160, height: 120, margin: 8, letters: 5000, bones: 150 };

/**
 * Draws one asset for a page that sets `DRAWING_CSS` once. Nothing has a `style` attribute or leads
 * outside. Findings past the first 500 have no picture.
 */
export function drawPictures(scene: Scene, asset: AssetReport): Omit<AssetPictures, 'data'> {
  const layouts = scene.rigs.map((rig, index) =>
    layoutRig(makeRigShape(index, rig, asset.rigs[index])),
  );
  const symbols = layouts.map(silhouetteSymbols);
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
    silhouette: smallSilhouette(layouts, asset),
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

/** The largest rig from the front, small: its outline, its joints, and the joints with a finding. */
function smallSilhouette(layouts: readonly RigLayout[], asset: AssetReport): string {
  const weight = ({ shape: { mesh, joints } }: RigLayout): number =>
    mesh.triangles.length * 1e6 + joints.length;
  const [largest] = [...layouts].sort((a, b) => weight(b) - weight(a));
  const { width, height } = SMALL;
  const label = `Outline of ${shortName(asset.path)} from the front, joints with findings marked`;
  const content =
    largest === undefined
      ? ''
      : smallOutline(largest.shape, byJoint(numbered(asset, largest.shape.index)));
  return drawing('small', label, [-width / 2, -height / 2, width, height], content);
}

function smallOutline({ bounds, mesh, joints }: RigShape, found: readonly JointFindings[]): string {
  const { width, height, margin, letters, bones } = SMALL;
  const [view] = VIEWS;
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
