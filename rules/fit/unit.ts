import { type Finding, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { guessUnits, sizeRatios, type UnitGuess } from '../../src/measure/fit/unit-ratio.js';
import { limit } from '../parts.js';
import { whyNotCompared } from './with-approved.js';

/** Metres against centimetres: what is keyed in one is a hundred times too far in the other. */
export const fitUnit = rule({
  id: 'fit.unit',
  level: 'error',
  title: 'a rig in another unit than the approved rig',
  why: 'A clip that moves joints is written in the unit of its rig. On a rig in another unit the body flies off the stage or never leaves the spot, and in a scene one stands a hundred times as tall as the other.',
  formula:
    'The ratio of the bone lengths of the two skeletons (weighted median of the bones that both have), in the world and as the bones are stored below their parents. There is a finding when a ratio is that of two units (metres, centimetres, millimetres, inches, feet) or another power of ten, or when it is larger than any character of the same family is.',
  remedy:
    'Export the rig in the unit of the approved rig: scale joints, mesh and clips together, and leave no scale on a node.',
  source: 'glTF 2.0, 3.4 Coordinate System and Units (all distances are in metres)',
  limits: {
    near: limit(1, '%', 'how near a ratio of sizes has to come to that of two units'),
    times: limit(10, 'times', 'largest ratio of sizes, either way'),
  },
  onApproved: true,
  check(facts, limits) {
    const not = whyNotCompared(facts);
    if (not !== null) return not;
    const ratios = sizeRatios(facts);
    if (ratios === null) return judged('rigs', 1, []);
    const ways = [
      { ratio: ratios.world, aspect: 'world' as const },
      { ratio: ratios.stored, aspect: 'stored' as const },
    ];
    const findings = ways.flatMap(({ ratio, aspect }): Finding<Details>[] => {
      const guess = guessUnits(ratio, limits.near);
      const times = Math.max(ratio, 1 / ratio);
      if (guess === null && !(times > limits.times)) return [];
      return [
        {
          level: 'error',
          place: { kind: 'rig' },
          aspect,
          measured: times,
          // Two units can be nearer to each other than two sizes may be: then no number is the limit.
          limit: times > limits.times ? limits.times : null,
          unit: 'times',
          details: { aspect, ratio, guess, scaled: ratios.world / ratios.stored },
        },
      ];
    });
    // A rig that is larger as it is stored is larger in the world by that alone.
    const [first] = findings;
    return judged('rigs', 1, first === undefined ? [] : [first]);
  },
  say({ details: { aspect, ratio, guess, scaled }, limit }, words) {
    const times = words.number(Math.max(ratio, 1 / ratio));
    const size = ratio > 1 ? `${times} times as large` : `${times} times smaller`;
    const held = limit === null ? '' : ` (limit ${words.number(limit)} times)`;
    const units = guess?.names
      ? `, as if it was made in ${guess.names[1]} and the approved rig in ${guess.names[0]}`
      : '';
    return aspect === 'world'
      ? {
          message: `This rig is ${size} ${ratio > 1 ? 'as' : 'than'} the approved rig${held}${units}.`,
          remedy: `Scale joints, mesh and clips together by ${words.number(1 / ratio)}, or export the rig in the unit of the approved rig.`,
        }
      : {
          message: `The bones of this rig are stored ${size} ${ratio > 1 ? 'as' : 'than'} those of the approved rig${held}, and a node scales them by ${words.number(scaled)}${units}: a clip that moves joints moves them too little or too far.`,
          remedy: `Apply the scale: scale joints, mesh and clips by ${words.number(1 / ratio)}, and set the scale of the node to that of the approved rig.`,
        };
  },
});

interface Details {
  readonly aspect: 'world' | 'stored';
  /** This rig over the approved one. */
  readonly ratio: number;
  readonly guess: UnitGuess | null;
  /** By how much nodes scale the bones, against the approved rig. */
  readonly scaled: number;
}
