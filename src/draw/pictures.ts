import type { AssetReport } from '../report/report-types.js';
import { drawFinding } from './finding-picture.js';
import { numbered } from './joint-findings.js';
import { INNER_WIDTH, layoutRig, type RigLayout, type ViewCell } from './rig-layout.js';
import { drawRig } from './rig-picture.js';
import { makeRigShape } from './rig-shape.js';
import type { Scene } from './scene.js';
import { drawSmallSilhouette } from './small-silhouette.js';
import { drawing, element } from './svg.js';
import { shortName } from './text-size.js';
import { EDGE, silhouettePaths } from './view-picture.js';

/** Parts of one asset's drawing for a page that sets `DRAWING_CSS` once. */
export interface Pictures {
  /** Symbols of the silhouettes that sheets and findings use; shows nothing itself. */
  readonly defs: string;
  /** Views and curls, one a rig. */
  readonly sheets: readonly string[];
  /** One a finding, in the report's order; null where a finding has no place, and past the first 500. */
  readonly findings: readonly (string | null)[];
  /** The front view by itself, small, without need of `defs`. */
  readonly silhouette: string;
}

/** Findings that get a picture: a page of thousands would be too large to open. */
const MOST_FINDINGS = 500;

/** Room at the left and right of a sheet, so that no line is cut. Picture units. */
const MARGIN = 8;

const HIDDEN = { class: 'drawing-defs', width: 0, height: 0, 'aria-hidden': 'true' };

/** Draws one asset for a page. Nothing has a `style` attribute or leads outside. */
export function drawPictures(scene: Scene, asset: AssetReport): Pictures {
  const layouts = scene.rigs.map((rig, index) =>
    layoutRig(makeRigShape(index, rig, asset.rigs[index])),
  );
  const symbols = layouts.flatMap((layout) => layout.cells.map((cell) => symbol(layout, cell)));
  return {
    defs: element('svg', HIDDEN, ...symbols),
    sheets: layouts.map((layout) => sheet(layout, asset)),
    findings: asset.findings.map((finding, index) => {
      const layout = layouts[finding.rig ?? -1];
      if (layout === undefined || index >= MOST_FINDINGS) return null;
      return drawFinding({ number: index + 1, finding }, layout, (cell) => symbolId(layout, cell));
    }),
    silhouette: drawSmallSilhouette(
      layouts.map(({ shape }) => shape),
      asset.path,
    ),
  };
}

function sheet(layout: RigLayout, asset: AssetReport): string {
  const { index, scene } = layout.shape;
  const use = (cell: ViewCell): string => {
    const id = symbolId(layout, cell);
    return id === null ? '' : element('use', { href: `#${id}`, 'stroke-width': EDGE });
  };
  const { svg, height } = drawRig(layout, numbered(asset, index), use);
  const [width, down] = [INNER_WIDTH + 2 * MARGIN, Math.ceil(height)];
  const label = `Rig ${shortName(scene.name)} from the front, the side and the top, with its findings marked`;
  return drawing('sheet', label, [-MARGIN, 0, width, down], svg);
}

/** Null for a view that shows no mesh. */
function symbolId({ shape }: RigLayout, { projection, silhouette }: ViewCell): string | null {
  return silhouette.body === '' ? null : `drawing-rig${shape.index}-${projection.view.name}`;
}

/** Without a view box a symbol has the coordinates of what uses it. */
function symbol(layout: RigLayout, cell: ViewCell): string {
  const id = symbolId(layout, cell);
  if (id === null) return '';
  return element('symbol', { id, overflow: 'visible' }, silhouettePaths(cell.silhouette));
}
