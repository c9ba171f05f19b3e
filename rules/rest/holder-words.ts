import type { Finding } from '../../src/kit/finding.js';
import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { HolderSum } from '../../src/measure/pose/holder-sum.js';
import { length } from '../../src/rig/vec3.js';

export interface HolderDetails extends HolderSum {
  readonly kind: 'moved' | 'tilted' | 'converted';
  readonly isTurned: boolean;
  readonly isScaled: boolean;
  /** Holders of the other trees of the rig that are off zero too. */
  readonly others: readonly number[];
}

export function holderWords(finding: Finding<HolderDetails>, words: Words): Said {
  const { nodes, others, kind, turn, tilt } = finding.details;
  const named = nodes.map((node) => words.node(node)).slice(0, NAMED);
  const more = nodes.length - named.length;
  const list = more > 0 ? `${named.join(', ')} and ${more} more` : named.join(' and ');
  const who = nodes.length === 1 ? `The holder ${list}` : `The holders ${list} together`;
  const verb = nodes.length === 1 ? 'is' : 'are';
  const away = kind === 'tilted' && turn - tilt > 1 ? `, ${words.degrees(tilt)} off square,` : '';
  const limit =
    finding.unit === 'degrees' ? words.degrees(finding.limit ?? 0) : `${finding.limit} % of size`;
  const why =
    kind === 'converted'
      ? 'an export left this conversion of axes or units'
      : `when an animator sets ${nodes.length === 1 ? 'it' : 'them'} to zero, the rig leaves its place`;
  const beside =
    others.length > 0 ? ` The same is true of ${words.count(others.length, 'more holder')}.` : '';
  return {
    message: `${who} ${verb} ${partsOf(finding, words)}${away} (limit ${limit}): ${why}.${beside}`,
    remedy: `Apply ${nodes.length === 1 ? 'its transform' : 'their transforms'} to the rig and the mesh before export, so that ${nodes.length === 1 ? 'it is' : 'they are'} at zero.`,
  };
}

/** Holders that a message names. */
const NAMED = 4;

function partsOf({ details }: Finding<HolderDetails>, words: Words): string {
  const { move, turn, scale, kind, isTurned, isScaled } = details;
  const parts = [
    ...(kind === 'moved' ? [`moved by ${words.length(length(move))}`] : []),
    ...(isTurned ? [`turned by ${words.degrees(turn)}`] : []),
    ...(isScaled ? [`scaled by ${words.number(scale)}`] : []),
  ];
  return parts.length > 2
    ? `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`
    : parts.join(' and ');
}
