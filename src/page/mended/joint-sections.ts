import { CURL_WORDS, curlPanels, curlWords, PANEL_SIZE } from '../../draw/curl-picture.js';
import { aimWords, changeWords, scaleWords } from '../../draw/mended/change-words.js';
import { curlPairs } from '../../draw/mended/curl-pairs.js';
import { drawFrames } from '../../draw/mended/frame-picture.js';
import { drawSideView } from '../../draw/mended/pair-views.js';
import type { ChangedJoint, RigPair } from '../../draw/mended/rig-pair.js';
import { boxAbout } from '../../draw/placement.js';
import type { RigLayout, ViewCell } from '../../draw/rig-layout.js';
import { drawing, element } from '../../draw/svg.js';
import { EDGE } from '../../draw/view-picture.js';
import { counted } from '../../report/finding-words.js';
import { nameText, pathText, text } from '../markup.js';

/** A pair with both sides laid out. */
export interface ShownPair {
  readonly pair: RigPair;
  readonly layouts: readonly [before: RigLayout, after: RigLayout];
}

type SymbolOf = (layout: RigLayout, cell: ViewCell) => string | null;

/** Joints that have pictures at once, and at all; the others are told in words. */
const [OPEN_JOINTS, DRAWN_JOINTS, MOST_JOINTS] = [12, 60, 2000];
const SIDES = ['before', 'after'] as const;

/** Both rigs from the front and the side, before beside after, changed joints numbered. */
export function picturesSection(pairs: readonly ShownPair[], symbolOf: SymbolOf): string[] {
  if (pairs.length === 0) return [];
  const figures = pairs.map(({ pair, layouts }) => {
    // All as wide as the widest, so that figures of one width show them at one scale.
    const across = Math.max(...layouts[0].cells.map(({ tight }) => tight.width));
    const rows = layouts[0].cells.flatMap((_, at) =>
      SIDES.map((side, index) => {
        const layout = layouts[index === 0 ? 0 : 1];
        const cell = layout.cells[at];
        return cell === undefined ? '' : viewFigure(pair, layout, cell, side, symbolOf, across);
      }),
    );
    return `${rigTitle(pairs, pair)}<div class="two">${rows.join('\n')}</div>`;
  });
  return [
    `<section id="pictures" aria-labelledby="pictures-title">
<h2 id="pictures-title">As stored, side by side</h2>
<p class="aside">Numbers are changed joints, as in the list below. Lines with letters are their axes (X red, Y green, Z blue), where there is room.</p>
${figures.join('\n')}
</section>`,
  ];
}

function viewFigure(
  pair: RigPair,
  layout: RigLayout,
  cell: ViewCell,
  side: (typeof SIDES)[number],
  symbolOf: SymbolOf,
  across: number,
): string {
  const id = symbolOf(layout, cell);
  const body = id === null ? '' : element('use', { href: `#${id}`, 'stroke-width': EDGE });
  const { title } = cell.projection.view;
  const bounds = boxAbout(0, 0, across, cell.tight.height);
  const { x, y, width, height } = bounds;
  const label = `The rig ${side} the mend, its changed joints numbered. ${title}.`;
  const svg = drawing(
    'sheet',
    label,
    [Math.floor(x), Math.floor(y), Math.ceil(width), Math.ceil(height)],
    drawSideView(layout.shape, side, { ...cell, bounds }, pair.changed, body, false),
  );
  return `<figure class="view ${side}"><figcaption>${caption(side)}: ${text(title.charAt(0).toLowerCase() + title.slice(1))}</figcaption>${svg}</figure>`;
}

/** Every changed joint: what became of it, and its axes before and after. */
export function jointsSection(pairs: readonly ShownPair[], symbolOf: SymbolOf): string[] {
  if (pairs.every(({ pair }) => pair.changed.length === 0 && scaleWords(pair) === null)) return [];
  const lists = pairs.map(({ pair, layouts }, rig) => {
    const cards = pair.changed
      .slice(0, MOST_JOINTS)
      .map((joint, at) => card(joint, rig, at < DRAWN_JOINTS ? layouts : null, symbolOf));
    const [open, rest] = [cards.slice(0, OPEN_JOINTS), cards.slice(OPEN_JOINTS)];
    const more = pair.changed.length - cards.length;
    const folded =
      rest.length === 0
        ? ''
        : `<details><summary>${counted(rest.length, 'more joint')}</summary><ol class="cards" start="${OPEN_JOINTS + 1}">${rest.join('\n')}</ol></details>`;
    const beyond = more > 0 ? `<p class="aside">and ${counted(more, 'more joint')}.</p>` : '';
    const scale = scaleWords(pair);
    const all = scale === null ? '' : `<p>${text(scale)}</p>`;
    if (cards.length === 0) return `${rigTitle(pairs, pair)}${all}`;
    return `${rigTitle(pairs, pair)}${all}<ol class="cards">${open.join('\n')}</ol>${folded}${beyond}`;
  });
  return [
    `<section id="joints" aria-labelledby="joints-title">
<h2 id="joints-title">Changed joints</h2>
${lists.join('\n')}
</section>`,
  ];
}

function card(
  joint: ChangedJoint,
  rig: number,
  layouts: ShownPair['layouts'] | null,
  symbolOf: SymbolOf,
): string {
  // What is a joint on one side alone has no other frame to be compared with.
  const isDrawn = layouts !== null && joint.before !== -1 && joint.after !== -1;
  const drawn = isDrawn ? drawFrames(joint, layouts, symbolOf) : [null, null];
  const figures = SIDES.map((side, at) => {
    const svg = drawn[at] ?? null;
    const aim = isDrawn ? aimWords(joint.aim[at] ?? null) : null;
    const words = aim === null ? '' : `: ${text(aim)}`;
    return svg === null && aim === null
      ? ''
      : `<figure class="${side}"><figcaption>${caption(side)}${words}</figcaption>${svg ?? ''}</figure>`;
  });
  const show =
    joint.before === -1
      ? ''
      : `<button type="button" class="show" data-rig="${rig}" data-joint="${joint.before}" aria-label="Show in the view: joint ${joint.number}, ${nameText(joint.name)}">Show in the view</button>`;
  return `<li class="card" id="joint-${rig}-${joint.number}"><h3><span class="number">${joint.number}</span> ${nameText(joint.name)}</h3>
<p class="path">${pathText(joint.path)}</p>
<p>${changeWords(joint).map(nameText).join(', ')}</p>
<div class="frames">${figures.join('')}</div>${show}</li>`;
}

/** The chains that curl otherwise, before beside after. */
export function curlsSection(pairs: readonly RigPair[]): string[] {
  const all = pairs.flatMap((pair) => curlPairs(pair));
  if (all.length === 0) return [];
  const curls = all.map(({ names, before, after }) => {
    const { ends } = names[0];
    const panels = [curlPanels(before), curlPanels(after)] as const;
    const figures = ([0, 1] as const).flatMap((view) =>
      SIDES.map((side, at) => {
        const svg = panels[at]?.[view] ?? '';
        const label = `${ends}, curled, ${side} the mend`;
        const { width, height } = PANEL_SIZE;
        return `<figure class="${side}"><figcaption>${caption(side)}</figcaption>${drawing('curl', label, [-1, -1, Math.ceil(width) + 2, height + 2], svg)}</figure>`;
      }),
    );
    return `<div class="curl"><h3>${nameText(ends)}</h3>
<p><strong>Before:</strong> ${nameText(curlWords(before, names[0]))}<br><strong>After:</strong> ${nameText(curlWords(after, names[1]))}</p>
<div class="two">${figures.join('\n')}</div></div>`;
  });
  return [
    `<section id="curls" aria-labelledby="curls-title">
<h2 id="curls-title">How the mended chains curl</h2>
<p class="aside">${CURL_WORDS}</p>
${curls.join('\n')}
</section>`,
  ];
}

function rigTitle(pairs: readonly ShownPair[], { name }: RigPair): string {
  return pairs.length > 1 ? `<h3>${nameText(name)}</h3>` : '';
}

function caption(side: (typeof SIDES)[number]): string {
  return `<strong>${side === 'before' ? 'Before' : 'After'}</strong>`;
}
