import { findingNumbers } from '../../report/finding-numbers.js';
import type { AssetReport } from '../../report/report-types.js';
import { setText } from './dom.js';
import { type Chosen, takeChain, takeClip, wordsFor } from './finding-pose.js';
import { watchHand } from './hand.js';
import { linkMarks, numberLink } from './mark-links.js';
import type { JointMark } from './marks.js';
import { isSame, type JointOf } from './overlay.js';
import type { Pose } from './pose-bones.js';
import { watchReading } from './reading.js';
import type { Viewer } from './viewer.js';

/** Findings and joints of the page, and the view, each leading to the other. */
export type PageLinks = ReturnType<typeof linkPage>;

/**
 * Leads from the page's findings and joint tree into the view, and from the numbers in the view back to
 * the findings. What is ringed is named in `word`.
 */
export function linkPage(
  viewer: Viewer,
  asset: AssetReport | undefined,
  section: HTMLElement,
  word: HTMLElement,
) {
  const findings = asset?.findings ?? [];
  const numbers = findingNumbers(findings);
  const articles = [...document.querySelectorAll<HTMLElement>('article.finding')];
  let from: Chosen | null = null;
  /** How a link posed the rig: what people posed by hand is left alone while they read. */
  let posed: Pose | null = null;
  const isOurs = ({ rig }: Chosen): boolean => {
    const pose = viewer.pose(rig);
    return pose.kind === 'rest' || pose === posed;
  };
  const poseFor = (chosen: Chosen): void => {
    takeChain(viewer, chosen);
    takeClip(viewer, chosen, asset);
    posed = viewer.pose(chosen.rig);
  };
  /** Says what is ringed, with links to what was found there. */
  const say = (chosen: Chosen | null, live: 'polite' | 'off' = 'polite'): void => {
    word.setAttribute('aria-live', live);
    if (chosen === null) {
      setText(word, '');
      return;
    }
    const mark = viewer.marks.numbers.find((other) => isSame(other, chosen));
    const number = chosen.finding === null ? undefined : numbers[chosen.finding];
    const others = (mark?.numbers ?? []).filter((other) => other !== number);
    const linked = (list: readonly number[]): Node[] =>
      list.flatMap((each) => [new Text(' '), numberLink(each, back)]);
    const rest = others.length - MOST_LINKS;
    word.replaceChildren(
      ...(number === undefined ? [] : ['Finding', ...linked([number]), ': ']),
      wordsFor(viewer, chosen, asset),
      ...(others.length === 0 ? [] : [number === undefined ? ' Found here:' : ' Also here:']),
      ...linked(others.slice(0, MOST_LINKS)),
      rest > 0 ? ` and ${rest} more` : '',
    );
  };
  const show = (chosen: Chosen, article: HTMLElement | null): void => {
    if (article !== null) markArticle(article);
    reading.ledTo(article);
    from = chosen;
    poseFor(chosen);
    void viewer.flyTo(chosen);
    say(chosen);
    bringIntoSight(section);
    // The next key acts on the picture, not on the button that was pressed.
    viewer.stage.canvas.focus({ preventScroll: true });
  };
  const chosenOf = ({ dataset }: HTMLElement): Chosen | null => {
    const finding = dataset.finding === undefined ? null : Number(dataset.finding);
    const to = { rig: Number(dataset.rig ?? 0), joint: Number(dataset.joint), finding };
    return viewer.rigs[to.rig]?.joints[to.joint] === undefined ? null : to;
  };
  const links: { readonly button: Element; readonly to: Chosen }[] = [];
  const link = (button: HTMLElement | null, holder: HTMLElement): void => {
    const to = chosenOf(holder);
    if (button === null) return;
    button.hidden = to === null;
    if (to === null) return;
    button.removeAttribute('disabled');
    links.push({ button, to });
    button.addEventListener('click', () => {
      show(to, button.closest<HTMLElement>('article.finding'));
    });
  };
  for (const article of articles)
    if (article.dataset.joint !== undefined)
      link(article.querySelector<HTMLElement>('button.show'), article);
  for (const button of document.querySelectorAll<HTMLElement>('button.place, button.joint'))
    link(button, button);

  let marked: Chosen | null = null;
  viewer.onChange(() => {
    const chosen = viewer.chosen();
    const finding = from?.finding ?? null;
    // A clip that plays changes the view sixty times a second, and no button.
    if (isSame(marked, chosen) && (marked?.finding ?? null) === finding) return;
    marked = chosen && { ...chosen, finding };
    for (const { button, to } of links) {
      const current = isSame(to, chosen) && (to.finding === null || to.finding === finding);
      if (current) button.setAttribute('aria-current', 'true');
      else button.removeAttribute('aria-current');
      // On pages where these are toggle buttons.
      if (button.hasAttribute('aria-pressed')) button.setAttribute('aria-pressed', String(current));
    }
  });

  const frame = section.querySelector('#view-frame');
  // Where the view lies above the findings it covers some of the window.
  const covered = (): number => {
    if (frame === null || getComputedStyle(frame).position !== 'sticky') return 0;
    return Math.max(0, frame.getBoundingClientRect().bottom);
  };
  const reading = watchReading(articles, covered, (article) => {
    if (!hand.follows()) return;
    markArticle(article);
    const chosen = chosenOf(article);
    const index = Number(article.dataset.finding);
    if (chosen === null) {
      from = null;
      void viewer.flyToWhole();
      word.setAttribute('aria-live', 'off');
      setText(word, `Finding ${numbers[index] ?? 0} is not about one joint.`);
      return;
    }
    from = chosen;
    if (isOurs(chosen)) poseFor(chosen);
    void viewer.flyTo(chosen);
    say(chosen, 'off');
  });
  function markArticle(article: HTMLElement): void {
    for (const other of articles) {
      if (other === article) other.setAttribute('aria-current', 'true');
      else other.removeAttribute('aria-current');
    }
  }
  function back(number: number, mark: JointMark | null): void {
    const article = document.getElementById(`finding-${number}`);
    if (article === null) return;
    markArticle(article);
    reading.ledTo(article);
    const finding = Number(article.dataset.finding);
    const joint = mark ?? viewer.chosen();
    from = joint && { rig: joint.rig, joint: joint.joint, finding };
    if (mark !== null) viewer.choose({ rig: mark.rig, joint: mark.joint });
    say(from, 'off');
    article.focus({ preventScroll: true });
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
    article.scrollIntoView({ block: 'start', behavior: still ? 'auto' : 'smooth' });
  }
  const hand = watchHand(viewer, section);
  linkMarks(viewer, viewer.stage.holder, back);
  return {
    /** Marks a joint without moving the eye, and names it. */
    mark(joint: JointOf | null): void {
      from = joint && { ...joint, finding: null };
      viewer.choose(joint);
      say(from);
    },
    /** What is ringed, and the finding that led there. */
    chosen: (): Chosen | null => from,
    /** Leaves the view as it is for a while. */
    rest: hand.touched,
    /** Rings a joint for a finding as if it had been read before. */
    resume(chosen: Chosen): void {
      from = chosen;
      viewer.choose(chosen);
      say(chosen, 'off');
      const article = articles.find(({ dataset }) => dataset.finding === String(chosen.finding));
      if (article !== undefined) {
        markArticle(article);
        reading.ledTo(article);
      }
    },
  };
}

/** Links to findings that the line below the view has. */
const MOST_LINKS = 6;

function bringIntoSight(section: HTMLElement): void {
  const stage = section.querySelector('#view-stage') ?? section;
  const { top, bottom } = stage.getBoundingClientRect();
  if (top >= 0 && bottom <= innerHeight) return;
  const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
  section.scrollIntoView({ block: 'start', behavior: still ? 'auto' : 'smooth' });
}
