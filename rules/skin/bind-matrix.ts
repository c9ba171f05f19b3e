import { atJoints, type Finding, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import {
  type Faulty,
  faultyMatrices,
  type Lacking,
  lackingMatrices,
  MATRIX_FAULTS,
  type MatrixFault,
} from '../../src/measure/pose/faulty-matrices.js';
import { groupBy } from '../../src/rig/group-by.js';

const FAULT_WORDS: Readonly<Record<MatrixFault, readonly [one: string, several: string]>> = {
  'no number': ['has a value that is not a number', 'have values that are not numbers'],
  'all zeros': ['has only zeros', 'have only zeros'],
  'last row': ['has a last row other than 0 0 0 1', 'have a last row other than 0 0 0 1'],
  'no inverse': ['cannot be inverted', 'cannot be inverted'],
};

type Details =
  | { readonly kind: 'matrix'; readonly faulty: readonly Faulty[]; readonly joints: number[] }
  | { readonly kind: 'count'; readonly short: readonly Lacking[] };

/** The inverse bind matrix is where a joint was built: it must be a place. */
export const skinBindMatrix = rule({
  id: 'skin.bind-matrix',
  level: 'error',
  title: 'an inverse bind matrix that cannot be used, or too few of them',
  why: 'The matrix says where the joint was when the skin was bound. A matrix that cannot be inverted flattens its skin. When a matrix is missing, viewers must guess.',
  formula:
    'In each inverse bind matrix, all values must be finite, the last row must be 0 0 0 1, and the determinant must not be zero compared with the lengths of the columns. A skin with matrices must have as many as joints. Each rig has one finding of each kind of fault.',
  remedy: 'Bind the mesh again and export.',
  source: 'glTF 2.0, 5.28.1 skin.inverseBindMatrices and 3.7.3.1 (MUST)',
  limits: { matrices: { default: 0, unit: 'matrices', tells: 'matrices missing or unusable' } },
  check(facts, limits) {
    const enough = limits.matrices;
    const faulty = faultyMatrices(facts).filter((own) => own.length > enough);
    const lacking = lackingMatrices(facts).filter(({ missing }) => missing > enough);
    const byFault = groupBy(faulty.flat(), ({ fault }) => fault);
    const looked = facts.rig.skins.reduce((sum, skin) => sum + skin.jointOfSlot.length, 0);
    const findings = [
      countFinding(lacking, enough),
      ...MATRIX_FAULTS.map((fault) => matrixFinding(byFault.get(fault) ?? [], enough)),
    ]
      .filter((finding) => finding !== null)
      .map((finding) => ({ ...finding, counts: { looked, short: finding.measured } }));
    const short = findings.reduce((sum, finding) => sum + finding.measured, 0);
    return judged('matrices', looked, findings, short);
  },
  say(finding, words) {
    const { details } = finding;
    if (details.kind === 'count') {
      const { short } = details;
      const given = short.reduce((sum, skin) => sum + skin.given, 0);
      const who = short.length === 1 ? 'The skin gives' : `${short.length} skins give`;
      return {
        message: `${who} ${words.count(given, 'inverse bind matrix')} for ${words.count(given + finding.measured, 'joint')} (${finding.measured} missing, limit ${finding.limit}).`,
        remedy: 'Bind the mesh again and export, so that every joint has its matrix.',
      };
    }
    const { faulty, joints } = details;
    const [first] = faulty;
    const fault = first?.fault ?? 'no inverse';
    const row =
      fault === 'last row'
        ? `: ${(first?.row ?? []).map((value) => words.number(value)).join(' ')}`
        : '';
    const limit = `limit ${finding.limit} such ${finding.limit === 1 ? 'matrix' : 'matrices'}`;
    if (faulty.length === 1) {
      return {
        message: `The inverse bind matrix of ${words.joints(joints)} ${FAULT_WORDS[fault][0]}${row} (${limit}).`,
        remedy: `Bind the mesh again with ${words.joints(joints)} at a scale above 0, and export.`,
      };
    }
    return {
      message: `${faulty.length} of ${words.count(finding.counts?.looked ?? 0, 'inverse bind matrix')} ${FAULT_WORDS[fault][1]}${row} (${limit}): those of ${words.joints(joints)}.`,
      remedy: 'Bind the mesh again with these joints at a scale above 0, and export.',
    };
  },
});

/** Skins with fewer matrices than joints, as one finding at the one that lacks most. */
function countFinding(short: readonly Lacking[], limit: number): Finding<Details> | null {
  const [worst] = [...short].sort((a, b) => b.missing - a.missing);
  if (worst === undefined) return null;
  return {
    level: 'error',
    place: { kind: 'skin', skin: worst.skin },
    places: short.map(({ skin }) => ({ kind: 'skin', skin })),
    measures: short.map(({ missing }) => missing),
    aspect: 'count',
    measured: short.reduce((sum, { missing }) => sum + missing, 0),
    limit,
    unit: 'matrices',
    details: { kind: 'count', short },
  };
}

/** Matrices with one fault, as one finding at the first joint. */
function matrixFinding(faulty: readonly Faulty[], limit: number): Finding<Details> | null {
  const [first] = faulty;
  if (first === undefined) return null;
  const joints = [...new Set(faulty.map(({ joint }) => joint))].sort((a, b) => a - b);
  return {
    ...atJoints(joints),
    level: 'error',
    aspect: first.fault,
    measured: faulty.length,
    limit,
    unit: 'matrices',
    details: { kind: 'matrix', faulty, joints },
  };
}
