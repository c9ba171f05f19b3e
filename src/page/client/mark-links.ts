import { el, setText } from './dom.js';
import type { JointMark, WholeMark } from './marks.js';
import type { ShownMark } from './overlay.js';
import type { Viewer } from './viewer.js';

/** Joints whose numbers are links, the most serious first; the page lists all findings. */
const MOST_LINKS = 300;
/** Findings of the whole rig that are named in the view. */
const MOST_WHOLE = 8;
/** Side of a link at least (WCAG 2.2, 2.5.8). CSS pixels. */
const TARGET = 24;

/** Leads from the view to a finding, by its number. */
type Back = (number: number, mark: JointMark | null) => void;

/**
 * Makes the numbers in the view links that lead back to their findings: for the pointer where they are
 * drawn, and for the keyboard as one stop whose links the arrow keys go through.
 */
export function linkMarks(viewer: Viewer, holder: HTMLElement, back: Back): void {
  const keys = 'Findings in the view. The arrow keys go from one to the next.';
  const layer = el('div', { class: 'view-marks', role: 'group', 'aria-label': keys });
  const links = viewer.marks.numbers
    .slice(0, MOST_LINKS)
    .map((mark) => ({ mark, link: linkOf(viewer, mark, back) }))
    .sort((a, b) => (a.mark.numbers[0] ?? 0) - (b.mark.numbers[0] ?? 0));
  const byMark = new Map(links.map(({ mark, link }) => [mark, link]));
  if (links.length === 0) layer.hidden = true;
  layer.append(...links.map(({ link }) => link));
  const whole = el('div', { class: 'view-whole' });
  holder.append(layer, whole);
  const inSight = (): HTMLElement[] => links.flatMap(({ link }) => (link.hidden ? [] : [link]));

  /** One of the links is a stop of the keyboard: the focused one, else that of the chosen joint, else the first. */
  const stop = (wanted: HTMLElement | undefined): void => {
    for (const { link } of links) link.tabIndex = link === wanted ? 0 : -1;
  };
  layer.addEventListener('keydown', (event) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const shown = inSight();
    const at = shown.indexOf(document.activeElement as HTMLElement);
    if (step === undefined || at === -1) return;
    event.preventDefault();
    const next = shown[(at + step + shown.length) % shown.length];
    stop(next);
    next?.focus({ preventScroll: true });
  });
  viewer.onMarks((shown: readonly ShownMark[]) => {
    const boxes = new Map(shown.map(({ mark, box }) => [mark, box]));
    const chosen = viewer.chosen();
    for (const { mark, link } of links) {
      const box = boxes.get(mark);
      // A link that has the focus keeps it while its joint is out of sight.
      link.hidden = box === undefined && link !== document.activeElement;
      if (box === undefined) continue;
      const [wide, high] = [Math.max(TARGET, box.width), Math.max(TARGET, box.height)];
      link.style.width = `${wide}px`;
      link.style.height = `${high}px`;
      link.style.transform = `translate(${box.x + (box.width - wide) / 2}px, ${box.y + (box.height - high) / 2}px)`;
    }
    const focused = links.find(({ link }) => link === document.activeElement)?.link;
    const ofChosen = viewer.marks.numbers.find(
      ({ rig, joint }) => rig === chosen?.rig && joint === chosen.joint,
    );
    const chosenLink = ofChosen && byMark.get(ofChosen);
    stop(focused ?? (chosenLink?.hidden === false ? chosenLink : inSight()[0]));
  });
  let told = -1;
  const tellWhole = (): void => {
    if (told === viewer.rig()) return;
    told = viewer.rig();
    fillWhole(whole, viewer.marks.whole[told] ?? [], back);
  };
  viewer.onChange(tellWhole);
  tellWhole();
}

function linkOf(viewer: Viewer, mark: JointMark, back: Back): HTMLAnchorElement {
  const [first = 0, ...more] = mark.numbers;
  const name = viewer.rigs[mark.rig]?.jointNames[mark.joint] ?? '';
  const which = more.length === 0 ? `Finding ${first}` : `Findings ${mark.numbers.join(', ')}`;
  const label = `${which}, ${mark.level}, at ${name}`;
  const link = el('a', { class: 'view-mark', href: `#finding-${first}`, 'aria-label': label });
  link.hidden = true;
  link.tabIndex = -1;
  link.addEventListener('click', (event) => {
    event.preventDefault();
    back(first, mark);
  });
  return link;
}

/** Links to what is found of a rig as a whole, in a corner of the view. */
function fillWhole(holder: HTMLElement, marks: readonly WholeMark[], back: Back): void {
  holder.replaceChildren();
  if (marks.length === 0) return;
  holder.append(el('span', {}, 'Of the rig:'));
  for (const { number, level } of marks.slice(0, MOST_WHOLE)) {
    const link = numberLink(number, back);
    link.classList.add(level);
    link.setAttribute('aria-label', `Finding ${number}, ${level}, of the rig`);
    holder.append(link);
  }
  if (marks.length > MOST_WHOLE) holder.append(el('span', {}, `+${marks.length - MOST_WHOLE}`));
}

/** A link with a number of a finding as its words. */
export function numberLink(number: number, back: Back): HTMLAnchorElement {
  const link = el('a', { class: 'view-number', href: `#finding-${number}` });
  setText(link, String(number));
  link.addEventListener('click', (event) => {
    event.preventDefault();
    back(number, null);
  });
  return link;
}
