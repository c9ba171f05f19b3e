import { type Finding, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { HeightRange } from '../../src/measure/contract.js';
import { heightOf } from '../../src/measure/geometry/height.js';
import { LENGTH_UNITS, type LengthUnit, METRES } from '../../src/measure/length-units.js';
import { against } from '../parts.js';

interface Details extends HeightRange {
  /** In the unit of the asset. */
  readonly stored: number;
  /** The unit in which the numbers of the file would fit; null for none. */
  readonly meant: LengthUnit | null;
  /** What the whole rig is to be scaled by. */
  readonly factor: number;
}

/** Exports round: a rig that is this share past the range is still within it. */
const ROUNDING = 1e-4;

/** A rig that is a hundred times too small or large is one whose units were mixed up on the way. */
export const houseHeight = rule({
  id: 'house.height',
  level: 'error',
  title: 'a rig that is lower or higher than the standard allows',
  why: 'A rig in metres where the house has centimetres is a hundred times too small. Clips, physics and cameras then do not fit it.',
  formula:
    'The extent of the mesh in the bind pose along the vertical of the standard (+Y if it has none), in the unit of the range; one unit of the file is what the conventions of the standard say.',
  remedy:
    'Export with the unit of the house, or scale the whole rig with its mesh, joints and clips.',
  source: 'common practice; glTF 2.0, 3.4 Coordinate System and Units (metres)',
  limits: {},
  isAsked: ({ contract }) => contract?.height !== undefined,
  check(facts) {
    const range = facts.wanted.contract?.height;
    if (range === undefined) return notApplicable('the standard has no range of heights');
    if (facts.rig.parts.length === 0) return notApplicable('no mesh uses the skin');
    const stored = heightOf(facts);
    if (!(stored > 0)) return notApplicable('the mesh has no height');
    const height = stored * inRange(range, range.assetUnit);
    if (fits(range, height)) return judged('rigs', 1, []);
    const isLow = height < range.from;
    const bound = isLow ? range.from : range.to;
    const meant = meantUnit(range, stored);
    const factor = meant === null ? bound / height : METRES[meant] / METRES[range.assetUnit];
    const finding: Finding<Details> = {
      level: 'error',
      place: { kind: 'rig' },
      aspect: isLow ? 'low' : 'high',
      ...against(height, bound, range.unit),
      details: { ...range, stored, meant, factor },
    };
    return judgedAsOne('rigs', 1, finding);
  },
  say({ measured, details }, words) {
    const { from, to, unit, assetUnit, stored, meant, factor } = details;
    const inFile = unit === assetUnit ? '' : `, ${words.number(stored)} ${assetUnit} in the file`;
    const scale = words.number(factor);
    return {
      message: `The rig is ${words.number(measured)} ${unit} high in its bind pose${inFile} (limit ${from} ${unit} to ${to} ${unit}).`,
      remedy:
        meant === null
          ? `Scale the whole rig, with its mesh, joints and clips, by ${measured < from ? 'at least' : 'at most'} ${scale}.`
          : `Set the unit of the export to ${assetUnit}, or scale the whole rig, with its mesh, joints and clips, by ${scale}: its numbers fit only if they are in ${meant}.`,
    };
  },
});

/** How many units of the range are in one of `unit`. */
function inRange(range: HeightRange, unit: LengthUnit): number {
  return METRES[unit] / METRES[range.unit];
}

function fits({ from, to }: HeightRange, height: number): boolean {
  return height >= from * (1 - ROUNDING) && height <= to * (1 + ROUNDING);
}

/** The unit in which the height would lie in the range, nearest to its middle if there are several. */
function meantUnit(range: HeightRange, stored: number): LengthUnit | null {
  const middle = Math.sqrt(range.from * range.to);
  const height = (unit: LengthUnit): number => stored * inRange(range, unit);
  const off = (unit: LengthUnit): number => Math.abs(Math.log(height(unit) / middle));
  const [best] = LENGTH_UNITS.filter((unit) => fits(range, height(unit))).sort(
    (a, b) => off(a) - off(b),
  );
  return best ?? null;
}
