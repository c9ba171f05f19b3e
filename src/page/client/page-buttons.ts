import type { AssetReport } from '../../report/report-types.js';
import { setText } from './dom.js';
import { isSame, type JointOf } from './overlay.js';
import type { Viewer } from './viewer.js';
import { worstMoment } from './worst-moment.js';

interface Chosen extends JointOf {
  /** Index of the finding that led there. */
  readonly finding: number | null;
}

/**
 * Leads from the page's findings and joint tree into the view. Returns a function that marks a joint
 * without moving the eye, and names it in `word`.
 */
export function linkPage(
  viewer: Viewer,
  asset: AssetReport | undefined,
  section: HTMLElement,
  word: HTMLElement,
): (joint: JointOf | null) => void {
  let from: Chosen | null = null;
  const show = (chosen: Chosen): void => {
    from = chosen;
    takeChain(viewer, chosen);
    takeClip(viewer, chosen, asset);
    void viewer.flyTo(chosen);
    setText(word, wordsFor(viewer, chosen, asset));
    bringIntoSight(section);
    // The next key acts on the picture, not on the button that was pressed.
    viewer.stage.canvas.focus({ preventScroll: true });
  };
  const links: { readonly button: Element; readonly to: Chosen }[] = [];
  const link = (button: HTMLElement | null, { dataset }: HTMLElement): void => {
    const finding = dataset.finding === undefined ? null : Number(dataset.finding);
    const to = { rig: Number(dataset.rig ?? 0), joint: Number(dataset.joint), finding };
    if (button === null || viewer.rigs[to.rig]?.joints[to.joint] === undefined) return;
    button.hidden = false;
    button.removeAttribute('disabled');
    links.push({ button, to });
    button.addEventListener('click', () => show(to));
  };
  for (const article of document.querySelectorAll<HTMLElement>('article.finding[data-joint]'))
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
  return (joint) => {
    from = joint && { ...joint, finding: null };
    viewer.choose(joint);
    setText(word, from === null ? '' : wordsFor(viewer, from, asset));
  };
}

/** Chooses the clip that a finding names, at its time. */
function takeClip(viewer: Viewer, { rig, finding }: Chosen, asset: AssetReport | undefined): void {
  if (finding === null) return;
  const { message = '', rule = '' } = asset?.findings[finding] ?? {};
  const { clips = [] } = viewer.rigs[rig] ?? {};
  // The finding names the worst moment of all clips, which the page knows to the last figure.
  const worst = rule === 'fit.play' ? worstMoment(clips, [...clips.keys()]) : null;
  if (worst?.isWorst === true) {
    viewer.setPose(rig, { kind: 'clip', clip: worst.clip, seconds: worst.seconds });
    return;
  }
  // Only rules that compare speak of clips that were made for the approved rig.
  const isFit = rule.startsWith('fit.');
  const clip = clips.findIndex(
    ({ plainName, isApproved }) => isApproved === isFit && message.includes(`"${plainName}"`),
  );
  const [, seconds] = / at (\d+(?:\.\d+)?) s\b/.exec(message) ?? [];
  if (clip === -1 || seconds === undefined) viewer.setPose(rig, { kind: 'rest' });
  else viewer.setPose(rig, { kind: 'clip', clip, seconds: Number(seconds) });
}

/** Chooses the chain of a joint to be curled: that shows best what its frame does. */
function takeChain(viewer: Viewer, { rig, joint, finding }: Chosen): void {
  if (finding === null) return;
  const chains = viewer.rigs[rig]?.data.chains ?? [];
  const indexOf = (isWanted: (place: number, last: number) => boolean): number =>
    chains.findIndex(({ joints }) => isWanted(joints.indexOf(joint), joints.length - 1));
  // A joint where chains meet ends one and starts others. What its frame does to a chain shows in the
  // joints after it, and the first joint of a chain is not turned.
  const inside = indexOf((place, last) => place > 0 && place < last);
  const ended = indexOf((place) => place > 0);
  const begun = indexOf((place) => place === 0);
  const chain = [inside, ended, begun].find((index) => index !== -1);
  if (chain === undefined) return;
  const letter = viewer.judgedTurn(rig, chain)?.letter;
  viewer.setCurl(rig, { chain, ...(letter && { letter }) });
}

function wordsFor(viewer: Viewer, chosen: Chosen, asset: AssetReport | undefined): string {
  const { rig, joint, finding } = chosen;
  const { jointNames = [], movesSkin = [], clips = [], data } = viewer.rigs[rig] ?? {};
  const name = jointNames[joint] ?? '';
  const still = movesSkin[joint] === false ? ' It moves no skin.' : '';
  if (finding === null) return `${name} is ringed.${still}`;
  const rule = asset?.findings[finding]?.rule ?? '';
  const pose = viewer.pose(rig);
  const clip =
    pose.kind === 'clip'
      ? ` The clip ${clips[pose.clip]?.name ?? ''} stands at ${pose.seconds.toFixed(2)} s.`
      : '';
  const chain = data?.chains[viewer.curl(rig).chain];
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
