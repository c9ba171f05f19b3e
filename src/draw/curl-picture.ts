import { percentage, significant } from '../kit/figures.js';
import { CURL_DEGREES } from '../measure/skeleton/curl.js';
import { placeJoints } from '../report/places.js';
import { boxAround } from '../rig/box.js';
import type { Vec3 } from '../rig/vec3.js';
import { badgeText } from './badges.js';
import { jointDot } from './bones.js';
import { type CurlPoint, type CurlView, viewCurl } from './curl-view.js';
import type { Numbered } from './joint-findings.js';
import { boxAbout, dotted, Placement } from './placement.js';
import { INNER_WIDTH } from './rig-layout.js';
import type { RigShape } from './rig-shape.js';
import { element, labelElement, linePath, SPACE, textElement, twoPartLine } from './svg.js';
import { BOLD, fitText, shortName, textWidth } from './text-size.js';
import { centreOf, fitFactor, type Point } from './view.js';

/** Rules whose fault a curl shows. */
const SHOWN_BY_CURL = ['axis.curl', 'axis.up', 'axis.aim', 'axis.uniform'];
/** Chains of a rig that are shown, those that stray most. */
const MOST = 6;
/** A smaller drift cannot be seen. Share of the chain's length. */
const LEAST_DRIFT = 0.002;
const COLUMNS = 2;
const GAP = 24;
const WIDTH = (INNER_WIDTH - (COLUMNS - 1) * GAP) / COLUMNS;
const HEAD = 44;
const PANEL = { width: (WIDTH - 12) / 2, height: 170 };
const MARGIN = 26;
const LETTER = 11;
const TEXT = 12;

/** What the pictures of curls show, for pages. */
export const CURL_WORDS =
  'Curls: every joint of the chain, except the first, is turned by the same angle, 90° in all. A good chain stays in its plane: seen along the plane it is almost a straight line, and seen from above the plane it is an arc.';

export interface Block {
  readonly svg: string;
  readonly height: number;
}

type ShownCurl = ReturnType<typeof shownCurls>[number];

/** Curls of the chains that findings touch and that stray; an empty block when there are none. */
export function drawCurls(shape: RigShape, findings: readonly Numbered[]): Block {
  const rowHeight = HEAD + PANEL.height + 12;
  const curls = shownCurls(shape, findings).map((curl, index) => {
    const [x, y] = [(index % COLUMNS) * (WIDTH + GAP), Math.floor(index / COLUMNS) * rowHeight];
    return element('g', { transform: `translate(${x} ${y})` }, drawCurl(curl));
  });
  return { svg: curls.join(''), height: Math.ceil(curls.length / COLUMNS) * rowHeight };
}

/** With the names of the first and last joint, and the findings that touch the chain. */
function shownCurls({ scene, joints }: RigShape, findings: readonly Numbered[]) {
  const touching = findings.filter(({ finding }) => SHOWN_BY_CURL.includes(finding.rule));
  const nameOf = (joint = -1): string => shortName(joints[joint]?.name ?? '', 24);
  return scene.chains
    .flatMap((chain) => {
      const here = touching.filter(({ finding }) =>
        placeJoints(finding).some((joint) => chain.joints.includes(joint)),
      );
      const view = here.length === 0 ? null : viewCurl(chain);
      if (view === null || !(view.drift > LEAST_DRIFT)) return [];
      const ends = `"${nameOf(chain.joints[0])}" to "${nameOf(chain.joints.at(-1))}"`;
      return [{ view, ends, numbers: here.map(({ number }) => number) }];
    })
    .sort((a, b) => b.view.drift - a.view.drift)
    .slice(0, MOST);
}

function drawCurl({ view, ends, numbers }: ShownCurl): string {
  return curlBlock(
    view,
    ends,
    `${numbers.length === 1 ? 'finding' : 'findings'} ${badgeText(numbers)}`,
  );
}

/** Room that the picture of one curl takes, its words included. Picture units. */
export const CURL_SIZE = { width: WIDTH, height: HEAD + PANEL.height + 12 };

/** One curl from two sides, below its name and what is said of it. */
export function curlBlock(view: CurlView, ends: string, which: string): string {
  const heading = fitText(ends, TEXT * BOLD, WIDTH - textWidth(which, TEXT) - SPACE);
  const [along, onto] = curlPanels(view);
  return [
    twoPartLine(0, 14, heading, which),
    textElement(0, 32, 'drawing-quiet', curlWords(view)),
    element('g', { transform: `translate(0 ${HEAD})` }, along),
    element('g', { transform: `translate(${PANEL.width + 12} ${HEAD})` }, onto),
  ].join('');
}

/** How far a curl leaves its plane. */
export function curlWords({ drift, about }: CurlView): string {
  const total = significant(CURL_DEGREES);
  return `Curled by ${total}° about its ${about} axes, it leaves its plane by ${percentage(100 * drift)} of its length.`;
}

/** Size of one panel of a curl. Picture units. */
export const PANEL_SIZE = PANEL;

/** A curl along the plane that it should stay in, and from above it. */
export function curlPanels(view: CurlView): readonly [along: string, onto: string] {
  const edgeOn = ([x, , off]: CurlPoint): Point => [x, -off];
  const fromAbove = ([x, across]: CurlPoint): Point => [x, -across];
  return [
    drawPanel(view, 'Seen along the plane it should stay in', edgeOn),
    drawPanel(view, 'Seen from above that plane', fromAbove),
  ];
}

function drawPanel(view: CurlView, title: string, flatten: (point: CurlPoint) => Point): string {
  const [own, ideal] = [view.own.map(flatten), view.ideal.map(flatten)];
  const place = scaledInto([...view.own, ...view.ideal], [...own, ...ideal]);
  const [is, should] = [own.map(place), ideal.map(place)];
  const placement = new Placement({ x: 0, y: 0, ...PANEL });
  const head = { x: 8, y: 6, width: textWidth(title, LETTER), height: LETTER + 4 };
  placement.take(head);
  const gap = [is[view.worst], should[view.worst]].filter((point) => point !== undefined);
  for (const line of [is, should, gap])
    for (const [x, y] of dotted(line)) placement.take(boxAbout(x, y, 5, 5));
  const words = [
    label('as it is', is.at(-1), placement),
    label('as it should be', should.at(-1), placement),
  ];
  return [
    element('rect', { class: 'drawing-panel', x: 0, y: 0, ...PANEL, rx: 4 }),
    element('path', { class: 'drawing-gap', d: linePath(gap) }),
    element('path', { class: 'drawing-dashed', d: linePath(should) }),
    element('path', { class: 'drawing-solid', d: linePath(is) }),
    ...is.map((point) => jointDot(point, true, 2)),
    ...words,
    textElement(head.x, head.y + LETTER, 'drawing-quiet', title, { 'font-size': LETTER }),
  ].join('');
}

/** One scale for both panels of a curl, so that they can be compared; each about its own middle. */
function scaledInto(all: readonly CurlPoint[], flat: readonly Point[]): (point: Point) => Point {
  const { min, max } = boxAround(all);
  const down = Math.max(max[1] - min[1], max[2] - min[2]);
  const room = [PANEL.width - 2 * MARGIN, PANEL.height - 2 * MARGIN - LETTER] as const;
  const factor = fitFactor(room, [max[0] - min[0], down]);
  const [cx, cy] = centreOf(boxAround(flat.map(([x, y]): Vec3 => [x, y, 0])));
  return ([x, y]) => [
    PANEL.width / 2 + (x - cx) * factor,
    (PANEL.height + LETTER) / 2 + (y - cy) * factor,
  ];
}

/** Words at the end of a line, at the first free place around it. */
function label(text: string, end: Point | undefined, placement: Placement): string {
  if (end === undefined) return '';
  const [width, height] = [textWidth(text, LETTER), LETTER + 3];
  const [x, y] = end;
  const corners = [8, 16, 26, 38, 52].flatMap((reach): Point[] => [
    [x + reach, y - height / 2],
    [x - width / 2, y - reach - height],
    [x - width / 2, y + reach],
    [x - width - reach, y - height / 2],
    [x - width, y - reach - height],
    [x - width, y + reach],
    [x, y - reach - height],
    [x, y + reach],
  ]);
  const boxes = corners.map(([left, top]) => ({ x: left, y: top, width, height }));
  const box = placement.takeFirst(boxes);
  return box === null ? '' : labelElement(box, text, LETTER);
}
