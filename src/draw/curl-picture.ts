import { percentage, significant } from '../kit/figures.js';
import { CURL_DEGREES } from '../measure/skeleton/curl-pose.js';
import { placeJoints } from '../report/places.js';
import { type Box, boxAround } from '../rig/box.js';
import { dot, subtract, type Vec3 } from '../rig/vec3.js';
import { badgeText } from './badges.js';
import { jointDot } from './bones.js';
import { SIDE_DEGREES, type Sight } from './curl-sight.js';
import { type CurlView, viewCurl } from './curl-view.js';
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
/** Chains that stray by as much stand in the report's order. Share of the chain's length. */
const SAME_DRIFT = 1e-4;
const COLUMNS = 2;
const GAP = 24;
const WIDTH = (INNER_WIDTH - (COLUMNS - 1) * GAP) / COLUMNS;
const HEAD = 44;
const PANEL = { width: (WIDTH - 12) / 2, height: 170 };
const MARGIN = 26;
const LETTER = 11;
const TEXT = 12;

/** What the pictures of curls show, for pages. */
export const CURL_WORDS = `Curls: every joint of the chain is turned about the same letter by the same angle, so that the last bone turns by ${CURL_DEGREES}°. The first picture of a curl looks at it from where it leaves its place most, the second from another side. A good chain stays on the dashed line.`;

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

/** With the names of its joints, and the findings that touch the chain. */
function shownCurls({ scene, joints }: RigShape, findings: readonly Numbered[]) {
  const touching = findings.filter(({ finding }) => SHOWN_BY_CURL.includes(finding.rule));
  return scene.chains
    .flatMap((chain) => {
      const here = touching.filter(({ finding }) =>
        placeJoints(finding).some((joint) => chain.joints.includes(joint)),
      );
      const view = here.length === 0 ? null : viewCurl(chain);
      if (view === null || !(view.drift > LEAST_DRIFT)) return [];
      const names = curlNames(view, chain.joints, (joint) => joints[joint]?.name);
      return [{ view, names, numbers: here.map(({ number }) => number) }];
    })
    .sort((a, b) => Math.round(b.view.drift / SAME_DRIFT) - Math.round(a.view.drift / SAME_DRIFT))
    .slice(0, MOST);
}

function drawCurl({ view, names, numbers }: ShownCurl): string {
  return curlBlock(
    view,
    names,
    `${numbers.length === 1 ? 'finding' : 'findings'} ${badgeText(numbers)}`,
  );
}

/** What a curled chain is called by. */
export interface CurlNames {
  /** Its first and last joint. */
  readonly ends: string;
  /** The joint that is farthest from its place. */
  readonly worst: string;
}

/** Letters of a joint's name. */
const NAME_LETTERS = 24;

/** @param joints Of the chain, of which `nameOf` knows the names. */
export function curlNames(
  { worst }: Pick<CurlView, 'worst'>,
  joints: readonly number[],
  nameOf: (joint: number) => string | undefined,
): CurlNames {
  const name = (place: number): string =>
    `"${shortName(nameOf(joints.at(place) ?? -1) ?? '', NAME_LETTERS)}"`;
  return { ends: `${name(0)} to ${name(-1)}`, worst: name(worst) };
}

/** Room that the picture of one curl takes, its words included. Picture units. */
export const CURL_SIZE = { width: WIDTH, height: HEAD + PANEL.height + 12 };

/** One curl from two sides, below its name and what is said of it. */
export function curlBlock(view: CurlView, names: CurlNames, which: string): string {
  const heading = fitText(names.ends, TEXT * BOLD, WIDTH - textWidth(which, TEXT) - SPACE);
  const [most, other] = curlPanels(view);
  return [
    twoPartLine(0, 14, heading, which),
    textElement(0, 32, 'drawing-quiet', fitText(curlWords(view, names), TEXT, WIDTH)),
    element('g', { transform: `translate(0 ${HEAD})` }, most),
    element('g', { transform: `translate(${PANEL.width + 12} ${HEAD})` }, other),
  ].join('');
}

/** How far a curl leaves its place. */
export function curlWords({ letter, degrees, drift }: CurlView, { worst }: CurlNames): string {
  return `Each joint turned by ${significant(degrees)}° about ${letter}: ${worst} is off by ${percentage(100 * drift)} of the length.`;
}

/** Size of one panel of a curl. Picture units. */
export const PANEL_SIZE = PANEL;

/** A curl from where it leaves its place most, and from another side. */
export function curlPanels(view: CurlView): readonly [most: string, other: string] {
  const [most, other] = view.sights;
  const title = other.isOnto
    ? 'Seen from above the plane it should stay in'
    : `Seen from ${SIDE_DEGREES}° to the side`;
  return [drawPanel(view, 'Seen from where it leaves most', most), drawPanel(view, title, other)];
}

/** The places of a curl as they are seen: x to the right, y down; world units. */
function flattened(
  { own, carried }: CurlView,
  { right, up }: Sight,
): [is: Point[], should: Point[]] {
  const [start = [0, 0, 0]] = carried;
  const flat = (points: readonly Vec3[]): Point[] =>
    points.map((point) => {
      const from = subtract(point, start);
      return [dot(from, right), -dot(from, up)];
    });
  return [flat(own), flat(carried)];
}

function drawPanel(view: CurlView, title: string, sight: Sight): string {
  const [own, carried] = flattened(view, sight);
  const place = scaledInto(view, [...own, ...carried]);
  const [is, should] = [own.map(place), carried.map(place)];
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
function scaledInto(view: CurlView, flat: readonly Point[]): (point: Point) => Point {
  const sizes = view.sights.map((sight) => sizeOf(flattened(view, sight).flat()));
  const room = [PANEL.width - 2 * MARGIN, PANEL.height - 2 * MARGIN - LETTER] as const;
  const factor = fitFactor(room, [
    Math.max(...sizes.map(([width]) => width)),
    Math.max(...sizes.map(([, height]) => height)),
  ]);
  const [cx, cy] = centreOf(flatBox(flat));
  return ([x, y]) => [
    PANEL.width / 2 + (x - cx) * factor,
    (PANEL.height + LETTER) / 2 + (y - cy) * factor,
  ];
}

function flatBox(flat: readonly Point[]): Box {
  return boxAround(flat.map(([x, y]): Vec3 => [x, y, 0]));
}

function sizeOf(flat: readonly Point[]): Point {
  const { min, max } = flatBox(flat);
  return [max[0] - min[0], max[1] - min[1]];
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
