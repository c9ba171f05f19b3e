import { mat4At } from '../../rig/mat4.js';
import { type Facts, fact } from '../facts.js';
import { affineRow, builtMatrices } from './bind-pose.js';

/** What can be wrong with a matrix; the first that applies counts. */
export const MATRIX_FAULTS = ['no number', 'all zeros', 'last row', 'no inverse'] as const;
export type MatrixFault = (typeof MATRIX_FAULTS)[number];

/** An inverse bind matrix that places no joint. */
export interface Faulty {
  readonly joint: number;
  readonly fault: MatrixFault;
  /** The last row as stored. */
  readonly row: readonly number[];
}

/** By skin, the unusable matrices of those that the file gives. */
export const faultyMatrices = fact((facts): readonly (readonly Faulty[])[] => {
  return facts.rig.skins.map(({ jointOfSlot, inverseBind, matrixCount }, index) => {
    const given = Array.from(jointOfSlot.subarray(0, matrixCount ?? jointOfSlot.length));
    return given.flatMap((joint, slot) => {
      if (builtMatrices(facts)[index]?.[slot] != null) return [];
      const matrix = mat4At(inverseBind, slot);
      const row = [3, 7, 11, 15].map((at) => matrix[at] ?? 0);
      return [{ joint, fault: faultOf(matrix), row }];
    });
  });
});

function faultOf(matrix: Float64Array): MatrixFault {
  if (!matrix.every(Number.isFinite)) return 'no number';
  if (matrix.every((value) => value === 0)) return 'all zeros';
  return affineRow(matrix) ? 'no inverse' : 'last row';
}

/** A skin that gives fewer matrices than it has joints. */
export interface Lacking {
  /** Place in the rig's list of skins. */
  readonly skin: number;
  readonly given: number;
  readonly missing: number;
}

/** The skins of a rig that give matrices, but too few. */
export function lackingMatrices({ rig }: Facts): Lacking[] {
  return rig.skins.flatMap(({ matrixCount: given, jointOfSlot: { length } }, skin) =>
    given === null || given >= length ? [] : [{ skin, given, missing: length - given }],
  );
}
