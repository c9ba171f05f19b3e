import { type Finding, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { affineRow, builtMatrices } from '../../src/measure/bind-pose.js';
import { mat4At } from '../../src/rig/mat4.js';
import type { RigSkin } from '../../src/rig/types.js';

type Fault =
  | 'holds a value that is no number'
  | 'has a last row other than 0 0 0 1'
  | 'cannot be inverted';

type Details =
  | { readonly kind: 'matrix'; readonly joint: number; readonly fault: Fault; readonly row: string }
  | { readonly kind: 'count'; readonly skin: RigSkin };

/** The inverse bind matrix is where a joint was built: it must be a place. */
export const skinBindMatrix = rule({
  id: 'skin.bind-matrix',
  level: 'error',
  title: 'an inverse bind matrix that is no place, or too few of them',
  why: 'The matrix says where the joint stood when the skin was bound. One that cannot be inverted flattens its skin; a missing one leaves viewers to guess.',
  formula:
    'Each inverse bind matrix: all values finite, last row 0 0 0 1, determinant not zero beside the lengths of its columns; and as many matrices as joints, where the skin gives any.',
  remedy: 'Bind the mesh again and export.',
  source: 'glTF 2.0, 5.28.1 skin.inverseBindMatrices and 3.7.3.1 (MUST)',
  limits: { matrices: { default: 0, unit: 'matrices', tells: 'matrices missing or unusable' } },
  check(facts, limits) {
    const { skins } = facts.rig;
    const built = builtMatrices(facts);
    const findings = skins.flatMap((skin, place) =>
      judgeSkin(skin, place, built[place] ?? [], limits.matrices),
    );
    const looked = skins.reduce((sum, skin) => sum + skin.jointOfSlot.length, 0);
    return judged('matrices', looked, findings);
  },
  say(finding, words) {
    const { details } = finding;
    if (details.kind === 'count') {
      const { skin } = details;
      return {
        message: `The skin gives ${words.count(skin.matrixCount ?? 0, 'inverse bind matrix')} for ${words.count(skin.jointOfSlot.length, 'joint')} (${finding.measured} missing, limit ${finding.limit}).`,
        remedy: 'Bind the mesh again and export, so that every joint has its matrix.',
      };
    }
    return {
      message: `The inverse bind matrix of ${words.joint(details.joint)} ${details.fault}${details.row} (limit ${finding.limit} such matrices).`,
      remedy: `Bind the mesh again with ${words.joint(details.joint)} at a scale above 0, and export.`,
    };
  },
});

function judgeSkin(
  skin: RigSkin,
  place: number,
  built: readonly (Float64Array | null)[],
  limit: number,
): Finding<Details>[] {
  const findings: Finding<Details>[] = [];
  const slots = skin.jointOfSlot.length;
  const missing = skin.matrixCount === null ? 0 : slots - skin.matrixCount;
  if (missing > limit) {
    findings.push({
      level: 'error',
      place: { kind: 'skin', skin: place },
      measured: missing,
      limit,
      unit: 'matrices',
      counts: { looked: slots, short: missing },
      details: { kind: 'count', skin },
    });
  }
  const given = skin.matrixCount ?? slots;
  const faulty = Array.from(skin.jointOfSlot.subarray(0, given)).flatMap((joint, slot) => {
    if (built[slot] != null) return [];
    const matrix = mat4At(skin.inverseBind, slot);
    const fault = faultOf(matrix);
    const last = [matrix[3], matrix[7], matrix[11], matrix[15]].join(' ');
    const row = fault === 'has a last row other than 0 0 0 1' ? `: ${last}` : '';
    return [{ joint, fault, row }];
  });
  if (faulty.length <= limit) return findings;
  for (const { joint, fault, row } of faulty) {
    findings.push({
      level: 'error',
      place: { kind: 'joint', joint },
      measured: faulty.length,
      limit,
      unit: 'matrices',
      details: { kind: 'matrix', joint, fault, row },
    });
  }
  return findings;
}

function faultOf(matrix: Float64Array): Fault {
  if (!matrix.every(Number.isFinite)) return 'holds a value that is no number';
  if (!affineRow(matrix)) return 'has a last row other than 0 0 0 1';
  return 'cannot be inverted';
}
