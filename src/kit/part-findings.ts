import type { Finding, Level, Unit } from './finding.js';
import type { Words } from './words.js';

/** What is wrong with one part. */
interface PartFault {
  readonly part: number;
  readonly looked: number;
  readonly short: number;
  /** The first three. */
  readonly vertices: readonly number[];
  /** How bad it is; the number of vertices where it is no matter of more or less. */
  readonly measured: number;
}

/** What a finding about several parts needs for its words. */
export interface PartsDetails {
  readonly parts: readonly number[];
  readonly worst: PartFault;
}

/** One finding for all parts with one fault, at the worst: a brush or an export slips once. */
export function partsFinding<F extends PartFault, A extends object>(
  faults: readonly F[],
  level: Level,
  limit: number,
  unit: Unit,
  detailsOf: (worst: F) => A,
): Finding<A & PartsDetails>[] {
  const [worst] = [...faults].sort((a, b) => b.measured - a.measured);
  if (worst === undefined) return [];
  const parts = faults.map(({ part }) => part);
  const looked = faults.reduce((sum, fault) => sum + fault.looked, 0);
  const short = faults.reduce((sum, fault) => sum + fault.short, 0);
  return [
    {
      level,
      place: { kind: 'part', part: worst.part },
      places: parts.map((part) => ({ kind: 'part', part })),
      measures: faults.map((fault) => (unit === 'vertices' ? fault.short : fault.measured)),
      measured: unit === 'vertices' ? short : worst.measured,
      limit,
      unit,
      counts: { looked, short },
      vertices: worst.vertices,
      details: { ...detailsOf(worst), parts, worst },
    },
  ];
}

/** The vertices of a finding: `12 of 300 vertices of "body"`, or `of 3 meshes`. */
export function sayParts({ counts, details }: Finding<PartsDetails>, words: Words): string {
  const { looked = 0, short = 0 } = counts ?? {};
  // Primitives of one mesh bear one name.
  const names = [...new Set(details.parts.map((part) => words.part(part)))];
  const meshes = names.length <= 2 ? names.join(' and ') : `${names.length} meshes`;
  return `${short} of ${words.count(looked, 'vertex')} of ${meshes}`;
}

/** `see vertices 1, 2, 3`, with the mesh where there are several. */
export function sayExamples({ vertices, details }: Finding<PartsDetails>, words: Words): string {
  const where = details.parts.length > 1 ? ` of ${words.part(details.worst.part)}` : '';
  return `${words.vertices(vertices ?? [])}${where}`;
}
