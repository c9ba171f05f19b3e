import type { AssetReport } from '../../report/report-types.js';
import type { JointOf } from './overlay.js';
import type { Viewer } from './viewer.js';
import { worstMoment } from './worst-moment.js';

/** A joint of the view, and the finding that led there. */
export interface Chosen extends JointOf {
  /** Index of the finding; null where a joint was chosen for itself. */
  readonly finding: number | null;
}

/** Chooses the clip that a finding names, at its time. */
export function takeClip(
  viewer: Viewer,
  { rig, finding }: Chosen,
  asset: AssetReport | undefined,
): void {
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
export function takeChain(viewer: Viewer, { rig, joint, finding }: Chosen): void {
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

/** What is ringed, and by what finding, in words. */
export function wordsFor(viewer: Viewer, chosen: Chosen, asset: AssetReport | undefined): string {
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
  return `${name} is ringed.${still}${clip}${curl}`;
}
