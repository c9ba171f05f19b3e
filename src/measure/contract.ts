import type { Axis } from './axis.js';
import type { LengthUnit } from './length-units.js';

/**
 * What a house asks of what is in a rig, besides how it is made. Plain data: it is sent to other
 * processes and is part of what a report is known by. What is absent is not asked for.
 */
export interface Contract {
  readonly joints?: Asked;
  readonly clips?: Asked & {
    /** Names that clips may have. */
    readonly names?: readonly NamePatternText[];
    /** Frames a second. */
    readonly rate?: number;
  };
  /** All names are held to the pattern of names, and not their sides alone. */
  readonly allNames?: true;
  readonly height?: HeightRange;
  /** The direction that is up, in the axes of the world. */
  readonly vertical?: Axis;
  /** The direction that rigs look to, in the axes of the world. */
  readonly facing?: Axis;
}

interface Asked {
  readonly required?: readonly NamePatternText[];
  readonly forbidden?: readonly NamePatternText[];
  readonly most?: number;
}

/** A pattern of one name. */
export interface NamePatternText {
  /** As the house wrote it. */
  readonly text: string;
  /** Source of a regular expression; null where the text stands for itself alone. */
  readonly expression: string | null;
}

/** How high a rig may be. */
export interface HeightRange {
  readonly from: number;
  readonly to: number;
  /** What both are in. */
  readonly unit: LengthUnit;
  /** What one unit of the asset is, by the standard. */
  readonly assetUnit: LengthUnit;
}

/** Letters of a longer name are not read: the time that a pattern takes grows with them. */
const LONGEST_NAME = 255;

const expressions = new Map<string, RegExp>();

/** Whether a name fits a pattern. */
export function fitsPattern({ text, expression }: NamePatternText, name: string): boolean {
  if (expression === null) return name === text;
  const known = expressions.get(expression) ?? new RegExp(expression);
  expressions.set(expression, known);
  return name.length <= LONGEST_NAME && known.test(name);
}
