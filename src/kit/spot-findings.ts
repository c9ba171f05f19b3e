import type { Facts } from '../measure/facts.js';
import type { StraySpots } from '../measure/skin-spots.js';
import { byTwins } from '../measure/twins.js';
import { type Finding, jointPlaces, type Level } from './finding.js';
import type { Words } from './words.js';

/** The spots of a joint, and of its twin where that has such, too. */
export interface SpotDetails {
  readonly worst: StraySpots;
  readonly twin: StraySpots | null;
}

/** One finding a joint or pair of twins, with all spots on all meshes. */
export function spotFindings(
  facts: Facts,
  list: readonly StraySpots[],
  { limit, label, looked, levelOf, kind }: SpotAsk,
): Finding<SpotDetails>[] {
  return byTwins(facts, list, ({ vertices }) => vertices, kind).map(([worst, twin]) => {
    const both = twin === undefined ? [worst] : [worst, twin];
    const joints = both.map(({ joint }) => joint).sort((a, b) => a - b);
    return {
      level: levelOf(Math.max(...both.map(({ top }) => top))),
      place: { kind: 'joint', joint: worst.joint },
      measured: both.reduce((sum, { vertices }) => sum + vertices, 0),
      limit,
      unit: 'vertices',
      joints,
      places: jointPlaces(joints),
      counts: { looked, short: both.length },
      vertices: worst.parts[0]?.vertices.slice(0, 3) ?? [],
      evidence: both.map(({ at }) => ({ kind: 'point', label, at })),
      details: { worst, twin: twin ?? null },
    };
  });
}

interface SpotAsk {
  readonly limit: number;
  /** What a picture calls the spots. */
  readonly label: string;
  /** Joints looked at. */
  readonly looked: number;
  /** Level of a finding by the largest weight in its spots. */
  levelOf(top: number): Level;
  /** Twins of two kinds are told apart (see `byTwins`). */
  readonly kind?: (spots: StraySpots) => unknown;
}

/** How many meshes a message names. */
const NAMED = 2;

/** `"head" moves 3 vertices of "body" in 2 spots by up to 40 %`. */
export function sayMoves({ joint, parts, vertices, spots, top }: StraySpots, words: Words): string {
  // Primitives of one mesh bear one name.
  const meshes = [...new Set(parts.map(({ part }) => words.part(part)))];
  const more = meshes.length - NAMED;
  const others = more > 0 ? ` and ${more} more` : '';
  const inSpots = spots > 1 ? ` in ${words.count(spots, 'spot')}` : '';
  return `${words.joint(joint)} moves ${words.count(vertices, 'vertex')} of ${meshes.slice(0, NAMED).join(' and ')}${others}${inSpots} by up to ${words.percent(100 * top)}`;
}
