import { percentage, significant } from '../../kit/figures.js';
import type { AllowedChange } from '../../mend/allowed-change.js';
import { LARGEST_SHIFT, LARGEST_TURN } from '../../mend/proof/proof-limits.js';
import type { Proof, ProofPlace, Seen } from '../../mend/proof/proof-seen.js';
import { counted } from '../../report/finding-words.js';

const SHIFT_LIMIT = `limit ${100 * LARGEST_SHIFT} % of size`;
const TURN_LIMIT = `limit ${LARGEST_TURN}°`;

/** What a proof compared, and what it found. Where a change is allowed, it proves nothing. */
export function proofWords(proof: Proof, isAllowed = false): string {
  const { vertices, poses, directions, targets, share, turn } = proof;
  if (poses === 0) return 'Proof: no vertex hangs on a joint, so no vertex can move.';
  const morphed = targets === 0 ? '' : `, ${counted(targets, 'morph target')} included,`;
  const compared = `${vertices === 1 ? '1 vertex' : `${vertices} vertices`} in ${counted(poses, 'pose')}`;
  const angle =
    turn === Infinity
      ? 'some normals get or lose their direction'
      : `normals at most ${amount(turn)}° (${TURN_LIMIT})`;
  const turned = directions === 0 ? '' : `, ${angle}`;
  return `${isAllowed ? 'Measured' : 'Proof'}: ${compared}${morphed} skinned before and after, at most ${amount(100 * share)} % of size apart (${SHIFT_LIMIT})${turned}.`;
}

/** What a repair does that is seen, and where. */
export function seenWords({ share, where, turn, turned }: Seen): string {
  const moves =
    share === Infinity
      ? `gives the mesh a place that is not a number${placeWords(where)}`
      : `moves the mesh by ${amount(100 * share)} % of size${placeWords(where)} (${SHIFT_LIMIT})`;
  const turns =
    turn === Infinity
      ? `leaves a normal without a direction${placeWords(turned)}`
      : `turns a normal by ${amount(turn)}°${placeWords(turned)} (${TURN_LIMIT})`;
  if (turn <= LARGEST_TURN) return moves;
  return share <= LARGEST_SHIFT ? turns : `${moves}, and ${turns}`;
}

/** What was seen to change, as the user allowed, and how much of it in the stored pose and in clips. */
export function allowedWords(allowed: readonly AllowedChange[], { stored, clips }: Proof): string {
  const each = allowed.map(
    ({ rules, percentOfSize }) =>
      `mending ${rules.join(' and ')} moves the mesh by up to ${percentage(percentOfSize)} of size`,
  );
  return `Allowed: ${each.join(', ')}. Together, the stored pose moves by at most ${percentage(100 * stored.share)} of size, and clips by at most ${percentage(100 * clips.share)}. The file records this in its extras.`;
}

/** ` at vertex 12 of body, clip wade at 0.5 s`; nothing for no place. */
export function placeWords(place: ProofPlace | null): string {
  if (place === null) return '';
  const { vertex, part, clip, time, target } = place;
  const pose = clip === null ? ', as stored' : `, clip ${clip} at ${Number(time.toFixed(3))} s`;
  const morph = target === null ? '' : `, morph target ${target} at full weight`;
  const spot = vertex === null ? `"${part}"` : `vertex ${vertex} of ${part}`;
  return ` at ${spot}${pose}${morph}`;
}

const LEAST = 1e-6;

/** Of an upper bound: less than a millionth is a millionth at most. */
export function amount(value: number): string {
  if (value === 0) return '0';
  return value < LEAST ? LEAST.toFixed(6) : significant(value);
}
