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
import { against, limit, mostWords } from '../parts.js';

const FAULT_WORDS: Readonly<Record<MatrixFault, readonly [one: string, several: string]>> = {
  'no number': ['has a value that is not a number', 'have values that are not numbers'],
  'all zeros': ['has only zeros', 'have only zeros'],
  'last row': ['has a last row other than 0 0 0 1', 'have a last row other than 0 0 0 1'],
  'no inverse': ['cannot be inverted', 'cannot be inverted'],
};

type Details =
  | { readonly kind: 'matrix'; readonly first: Faulty; readonly joints: readonly number[] }
  | { readonly kind: 'count'; readonly skins: readonly Lacking[] };

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
  limits: { matrices: limit(0, 'matrices', 'matrices missing or unusable') },
  check(facts, limits) {
    const enough = limits.matrices;
    const faulty = faultyMatrices(facts).filter(({ length }) => length > enough);
    const skins = lackingMatrices(facts).filter(({ missing }) => missing > enough);
    const looked = facts.rig.skins.reduce((sum, skin) => sum + skin.jointOfSlot.length, 0);
    const error = (measured: number) => ({
      level: 'error' as const,
      ...against(measured, enough, 'matrices'),
      counts: { looked, short: measured },
    });
    const findings: Finding<Details>[] = [];
    const [most] = [...skins].sort((a, b) => b.missing - a.missing);
    if (most !== undefined) {
      const measures = skins.map(({ missing }) => missing);
      findings.push({
        ...error(measures.reduce((sum, missing) => sum + missing, 0)),
        place: { kind: 'skin', skin: most.skin },
        places: skins.map(({ skin }) => ({ kind: 'skin', skin })),
        measures,
        aspect: 'count',
        details: { kind: 'count', skins },
      });
    }
    const byFault = groupBy(faulty.flat(), ({ fault }) => fault);
    for (const fault of MATRIX_FAULTS) {
      const group = byFault.get(fault) ?? [];
      const [first] = group;
      if (first === undefined) continue;
      const joints = [...new Set(group.map(({ joint }) => joint))].sort((a, b) => a - b);
      findings.push({
        ...error(group.length),
        ...atJoints(joints),
        aspect: fault,
        details: { kind: 'matrix', first, joints },
      });
    }
    const short = findings.reduce((sum, { measured }) => sum + measured, 0);
    return judged('matrices', looked, findings, short);
  },
  say({ details, measured, limit, counts }, words) {
    if (details.kind === 'count') {
      const { skins } = details;
      const given = skins.reduce((sum, skin) => sum + skin.given, 0);
      const who = skins.length === 1 ? 'The skin gives' : `${skins.length} skins give`;
      return {
        message: `${who} ${words.count(given, 'inverse bind matrix')} for ${words.count(given + measured, 'joint')} (${measured} missing, ${mostWords(limit)}).`,
        remedy: 'Bind the mesh again and export, so that every joint has its matrix.',
      };
    }
    const { first, joints } = details;
    const listed = words.joints(joints);
    const [has, have] = FAULT_WORDS[first.fault];
    const row =
      first.fault === 'last row'
        ? `: ${first.row.map((value) => words.number(value)).join(' ')}`
        : '';
    const most = limit === 1 ? 'such matrix' : 'such matrices';
    const bound = mostWords(limit, limit === 0 ? '' : most);
    if (measured === 1)
      return {
        message: `The inverse bind matrix of ${listed} ${has}${row} (${bound}).`,
        remedy: `Bind the mesh again in the bind pose and export, so that ${listed} gets a new matrix.`,
      };
    return {
      message: `${measured} of ${words.count(counts?.looked ?? 0, 'inverse bind matrix')} ${have}${row} (${bound}): those of ${listed}.`,
      remedy:
        'Bind the mesh again in the bind pose and export, so that these joints get new matrices.',
    };
  },
});
