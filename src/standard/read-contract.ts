import type { HouseFile } from '../house/house-file.js';
import { nameExpression, PatternFault } from '../house/name-pattern.js';
import type { Contract, HeightRange, NamePatternText } from '../measure/contract.js';
import { ALL_AXES, type Axis, axisName } from '../measure/facts.js';
import type { LengthUnit } from '../measure/length-units.js';

interface WrittenJoints extends WrittenList {
  /** Largest numbers of topmost joints, and of joints that move one vertex: limits of other rules. */
  readonly roots?: number;
  readonly influences?: number;
}

interface WrittenList {
  readonly required?: readonly string[];
  readonly forbidden?: readonly string[];
  readonly most?: number;
}

/** A contract as it is written, once it fits its schema. */
export interface WrittenContract {
  readonly joints?: WrittenJoints;
  readonly clips?: WrittenList & { readonly names?: readonly string[]; readonly rate?: number };
  readonly height?: { readonly from: number; readonly to: number; readonly unit?: LengthUnit };
  readonly vertical?: string;
  readonly facing?: string;
}

/** What of other parts of a standard the contract needs. */
interface Beside {
  /** What one unit of the assets is. */
  readonly assetUnit: LengthUnit;
  readonly allNames: boolean;
}

/** The contract of a standard; null where it asks for nothing. Throws UsageError by `failAt`. */
export function contractFrom(
  written: WrittenContract,
  { assetUnit, allNames }: Beside,
  failAt: HouseFile['failAt'],
): Contract | null {
  const { joints: all, clips, height, ...directions } = written;
  const { roots: _, influences: __, ...joints } = all ?? {};
  const [vertical, facing] = [axisFrom(directions.vertical), axisFrom(directions.facing)];
  if (vertical !== null && vertical.index === facing?.index)
    failAt(
      ['contract', 'facing'],
      `a rig cannot look along its vertical (${directions.vertical}); write another direction`,
    );
  const contract: Contract = {
    ...(Object.keys(joints).length > 0 && { joints: listsFrom(joints, 'joints', failAt) }),
    ...(clips && { clips: listsFrom(clips, 'clips', failAt) }),
    ...(allNames && { allNames }),
    ...(height && { height: heightFrom(height, assetUnit, failAt) }),
    ...(vertical && { vertical }),
    ...(facing && { facing }),
  };
  return Object.keys(contract).length === 0 ? null : contract;
}

/** Patterns are read; numbers stay as they are. */
function listsFrom(
  written: NonNullable<WrittenContract['clips']>,
  part: 'joints' | 'clips',
  failAt: HouseFile['failAt'],
): NonNullable<Contract['clips']> {
  const { required, forbidden, names, ...numbers } = written;
  const read = (key: string, list: readonly string[]): NamePatternText[] =>
    list.map((text, at) => patternFrom(text, ['contract', part, key, at], failAt));
  return {
    ...numbers,
    ...(required && { required: read('required', required) }),
    ...(forbidden && { forbidden: read('forbidden', forbidden) }),
    ...(names && { names: read('names', names) }),
  };
}

/** What has a meaning in a pattern; a name without any is compared as it is. */
const MEANT = /[*?[\]{}\\]/;

function patternFrom(
  text: string,
  path: readonly (string | number)[],
  failAt: HouseFile['failAt'],
): NamePatternText {
  if (!MEANT.test(text)) return { text, expression: null };
  try {
    return { text, expression: nameExpression(text) };
  } catch (error) {
    if (error instanceof PatternFault) return failAt(path, `the pattern ${error.message}`);
    throw error;
  }
}

function heightFrom(
  { from, to, unit = 'm' }: NonNullable<WrittenContract['height']>,
  assetUnit: LengthUnit,
  failAt: HouseFile['failAt'],
): HeightRange {
  if (from > to)
    failAt(
      ['contract', 'height'],
      `"from" (${from} ${unit}) is above "to" (${to} ${unit}); write the smaller height first`,
    );
  return { from, to, unit, assetUnit };
}

function axisFrom(name: string | undefined): Axis | null {
  return ALL_AXES.find((axis) => axisName(axis) === name) ?? null;
}
