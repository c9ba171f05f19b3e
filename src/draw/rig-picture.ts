import { drawCurls } from './curl-picture.js';
import { byJoint, type Numbered, ofNoJoint } from './joint-findings.js';
import type { RigLayout, ViewCell } from './rig-layout.js';
import { element, oneDecimal, textElement } from './svg.js';
import { drawView } from './view-picture.js';

/** Views and curls of one rig, one below the other. */
export type RigPicture = ReturnType<typeof drawRig>;

const CURL_HEAD = 34;

const CURL_SIGNS =
  'Solid: as it is. Dashed: as it should be. Thin line between them: the largest distance.';

/** @param bodyOf Markup of a view's silhouette: its paths, or a reference to them. */
export function drawRig(
  { shape, cells, height }: RigLayout,
  findings: readonly Numbered[],
  bodyOf: (cell: ViewCell) => string,
) {
  const groups = byJoint(findings);
  const whole = ofNoJoint(findings);
  const views = cells.map((cell, index) => ({
    translate: `translate(${cell.at.map(oneDecimal).join(' ')})`,
    ...drawView(shape, cell, groups, bodyOf(cell), index === 0 ? whole : []),
  }));
  const rows = views.map(({ translate, svg }) => element('g', { transform: translate }, svg));
  const curls = drawCurls(shape, findings);
  if (curls.height > 0)
    rows.push(
      textElement(0, height + 18, 'drawing-subheading', 'What a curl shows'),
      textElement(160, height + 18, 'drawing-quiet', CURL_SIGNS),
      element('g', { transform: `translate(0 ${oneDecimal(height + CURL_HEAD)})` }, curls.svg),
    );
  // A joint that a finding only lists may go without its badge.
  const unmarked = findings.filter(({ finding }) =>
    views.every((view) => view.unmarked.includes(finding.place.joint ?? -1)),
  );
  return {
    svg: rows.join(''),
    height: curls.height === 0 ? height : height + CURL_HEAD + curls.height,
    /** Numbers of findings at joints that no view has room to mark. */
    unmarked: unmarked.map(({ number }) => number),
    /** Boxes of all words and badges of each view, about the middle of the rig. */
    labels: views.map(({ labels }) => labels),
  };
}
