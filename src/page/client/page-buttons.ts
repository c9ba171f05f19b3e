import type { AssetReport } from '../../report/report-types.js';
import { setText } from './dom.js';
import { isSame, type JointOf } from './overlay.js';
import type { Viewer } from './viewer.js';

/** Leads from the page's findings and joint tree into the view. */
export interface PageButtons {
  /** Marks a joint without moving the eye, and tells of it. */
  choose(joint: JointOf | null): void;
}

interface Chosen extends JointOf {
  /** Index of the finding that led there. */
  readonly finding: number | null;
}

export function linkPage(
  viewer: Viewer,
  asset: AssetReport | undefined,
  section: HTMLElement,
  word: HTMLElement,
): PageButtons {
  let from: Chosen | null = null;
  const show = (chosen: Chosen): void => {
    from = chosen;
    takeChain(viewer, chosen);
    takeClip(viewer, chosen, asset);
    void viewer.flyTo(chosen);
    setText(word, wordsFor(viewer, chosen, asset));
    bringIntoSight(section);
    // Keys go on from the picture, not from the button that was left behind.
    viewer.stage.canvas.focus({ preventScroll: true });
  };
  const links: { readonly button: Element; readonly to: Chosen }[] = [];
  const link = (button: HTMLElement | null, to: Chosen): void => {
    if (button === null || viewer.rigs[to.rig]?.joints[to.joint] === undefined) return;
    button.hidden = false;
    button.removeAttribute('disabled');
    links.push({ button, to });
    button.addEventListener('click', () => show(to));
  };
  for (const article of document.querySelectorAll<HTMLElement>('article.finding[data-joint]')) {
    const button = article.querySelector<HTMLElement>('button.show');
    link(button, { ...jointOf(article), finding: Number(article.dataset.finding) });
  }
  for (const button of document.querySelectorAll<HTMLElement>('button.place'))
    link(button, { ...jointOf(button), finding: Number(button.dataset.finding) });
  for (const button of document.querySelectorAll<HTMLElement>('button.joint'))
    link(button, { ...jointOf(button), finding: null });

  let told: Chosen | null = null;
  viewer.onChange(() => {
    const chosen = viewer.chosen();
    // A clip that plays changes the view sixty times a second, and no button.
    if (isSame(told, chosen) && (told?.finding ?? null) === (from?.finding ?? null)) return;
    told = chosen && { ...chosen, finding: from?.finding ?? null };
    for (const { button, to } of links) {
      const current = isSame(to, chosen) && (to.finding === null || to.finding === from?.finding);
      setState(button, 'aria-current', current ? 'true' : null);
      // Where the page makes them buttons that stay down.
      if (button.hasAttribute('aria-pressed')) setState(button, 'aria-pressed', String(current));
    }
  });
  return {
    choose(joint) {
      from = joint && { ...joint, finding: null };
      viewer.choose(joint);
      setText(word, from === null ? '' : wordsFor(viewer, from, asset));
    },
  };
}

function jointOf({ dataset }: HTMLElement): JointOf {
  return { rig: Number(dataset.rig ?? 0), joint: Number(dataset.joint) };
}

function setState(element: Element, name: string, value: string | null): void {
  if (element.getAttribute(name) === value) return;
  if (value === null) element.removeAttribute(name);
  else element.setAttribute(name, value);
}

/** Chooses the clip that a finding tells of, at its time. */
function takeClip(viewer: Viewer, { rig, finding }: Chosen, asset: AssetReport | undefined): void {
  if (finding === null) return;
  const { message = '' } = asset?.findings[finding] ?? {};
  const clip = viewer.rigs[rig]?.clips.findIndex(({ name }) => message.includes(`"${name}"`)) ?? -1;
  const [, seconds] = / at (\d+(?:\.\d+)?) s\b/.exec(message) ?? [];
  if (clip === -1 || seconds === undefined) viewer.setPose(rig, { kind: 'rest' });
  else viewer.setPose(rig, { kind: 'clip', clip, seconds: Number(seconds) });
}

/** Chooses the chain of a joint to be curled: what its frame does is best seen by that. */
function takeChain(viewer: Viewer, { rig, joint, finding }: Chosen): void {
  if (finding === null) return;
  const chains = viewer.rigs[rig]?.data.chains ?? [];
  const places = chains.map(({ joints }) => [joints.indexOf(joint), joints.length - 1] as const);
  // A joint where chains meet ends one and starts others. What its frame does to a chain shows in the
  // joints after it, and the first joint of a chain is not turned.
  const inside = places.findIndex(([at, last]) => at > 0 && at < last);
  const ended = places.findIndex(([at]) => at > 0);
  const chain = [inside, ended, places.findIndex(([at]) => at === 0)].find((found) => found !== -1);
  if (chain !== undefined)
    viewer.setCurl(rig, { chain, about: viewer.poser.tellingAxis(rig, chain) });
}

function wordsFor(
  viewer: Viewer,
  { rig, joint, finding }: Chosen,
  asset: AssetReport | undefined,
): string {
  const of = viewer.rigs[rig];
  const name = of?.jointNames[joint] ?? '';
  const still = of?.movesSkin[joint] === false ? ' It moves no skin.' : '';
  if (finding === null) return `${name} is ringed.${still}`;
  const rule = asset?.findings[finding]?.rule ?? '';
  const how = viewer.poser.pose(rig);
  const clip =
    how.kind === 'clip'
      ? ` The clip ${of?.clips[how.clip]?.name ?? ''} stands at ${how.seconds.toFixed(2)} s.`
      : '';
  const chain = of?.data.chains[viewer.poser.curl(rig).chain];
  const curl =
    rule.startsWith('axis.') && chain?.joints.includes(joint)
      ? ' Its chain is chosen below: move the slider to see how it curls.'
      : '';
  return `Finding ${finding + 1}: ${name} is ringed.${still}${clip}${curl}`;
}

function bringIntoSight(section: HTMLElement): void {
  const stage = section.querySelector('#view-stage') ?? section;
  const { top, bottom } = stage.getBoundingClientRect();
  if (top >= 0 && bottom <= innerHeight) return;
  const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
  section.scrollIntoView({ block: 'start', behavior: still ? 'auto' : 'smooth' });
}
