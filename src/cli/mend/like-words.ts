import { angleWords, percentage } from '../../kit/figures.js';
import { PLAY_ROUNDING } from '../../measure/fit/play-past.js';
import type { MendResult } from '../../mend/mend-asset.js';
import type { PlayedRig } from '../../mend/played.js';
import { counted, shortened } from '../../report/finding-words.js';

/** What the clips of the approved asset show before and after; nothing where no rig is made like it. */
export function likeWords({ played, after }: MendResult): string[] {
  if (played === null) return [];
  const asset = after.approved ?? 'the approved asset';
  const shown = played.filter(({ clips }) => clips > 0);
  if (shown.length === 0)
    return [`Played: no clip of ${asset} poses a joint of this file, so nothing was played.`];
  return shown.map((rig) => rigWords(rig, asset, played.length > 1));
}

function rigWords(
  { rig, clips, before, after }: PlayedRig,
  asset: string,
  isNamed: boolean,
): string {
  const on = isNamed ? ` on "${shortened(rig, 120)}"` : '';
  const line = `Played: ${counted(clips, 'clip')} of ${asset}${on}; bones are off by up to ${angle(before.degrees)} before, ${angle(after.degrees)} after; joints and skin by up to ${percentage(before.percent)} of size before, ${percentage(after.percent)} after.`;
  if (before.unfound + after.unfound === 0) return line;
  return `${line} Joints that the clips pose and that have another name or are missing: ${before.unfound} before, ${after.unfound} after.`;
}

/** What numbers of 32 bits leave is no difference. */
function angle(degrees: number): string {
  return degrees > 0 && degrees < PLAY_ROUNDING
    ? `less than ${angleWords(PLAY_ROUNDING)}`
    : angleWords(degrees);
}
