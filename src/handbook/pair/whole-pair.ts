import type { RigLayout } from '../../draw/rig-layout.js';
import { drawing, element, textElement } from '../../draw/svg.js';
import { type Point, project, VIEWS, type View } from '../../draw/view.js';
import { drawView, EDGE } from '../../draw/view-picture.js';
import { layoutSides, SIDE_WIDTH } from './near-pair.js';
import { type Drawn, type PairSource, SIDE_WORDS } from './pair-source.js';
import type { Symbols } from './symbols.js';

const [WIDTH, HEIGHT] = [SIDE_WIDTH, 300];
/** Letters of the title and its room, which do not shrink with the rig. Picture units. */
const [TITLE, STRIP] = [11, 20];
const LOOK = { hasOthers: false, hasTitle: false };

/** The whole rig on both sides, from one direction and at one scale, over the ground. */
export function wholePair(
  source: PairSource,
  symbols: Symbols,
  from: View['name'] = 'front',
  bare: readonly [boolean, boolean] = [false, false],
): Drawn | null {
  const view = VIEWS.find(({ name }) => name === from);
  const layouts = view && layoutSides(source, view);
  if (!view || !layouts) return null;
  const [a, b] = layouts.map((layout, at) =>
    drawWhole(layout, view, symbols, at, bare[at] === true),
  );
  return a && b ? [a, b] : null;
}

function drawWhole(
  { shape, cells }: RigLayout,
  view: View,
  symbols: Symbols,
  side: number,
  bare: boolean,
): string {
  const [cell] = cells;
  if (cell === undefined) return '';
  const id = symbols.idOf(cell);
  const body = id === null ? '' : element('use', { href: `#${id}`, 'stroke-width': EDGE });
  const shown = bare ? { ...shape, joints: [] } : shape;
  const { svg } = drawView(shown, cell, [], body, [], LOOK);
  const { tight } = cell;
  const zoom = Math.min((HEIGHT - STRIP - 8) / tight.height, (WIDTH - 8) / tight.width);
  const height = STRIP + Math.ceil(zoom * tight.height) + 8;
  const transform = `translate(${WIDTH / 2} ${(STRIP + height) / 2}) scale(${zoom.toFixed(3)})`;
  const label = `${SIDE_WORDS[side]}: the whole rig. ${view.title}.`;
  const ground = view.name === 'top' ? '' : lines(project(cell.projection, [0, 0, 0]));
  return drawing(
    'whole',
    label,
    [0, 0, WIDTH, height],
    textElement(6, TITLE + 3, 'drawing-title', view.title, { 'font-size': TITLE }),
    element('g', { transform }, ground, svg),
  );
}

/** The ground and the upright through the origin. */
function lines([x, y]: Point): string {
  return element('path', {
    class: 'drawing-dashed drawing-ground',
    d: `M-400 ${y.toFixed(1)}H400M${x.toFixed(1)} -400V400`,
  });
}
