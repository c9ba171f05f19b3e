import type { Facts } from '../measure/facts.js';
import type { StraySpots } from '../measure/skin/skin-spots.js';
import type { Finding, Level } from './finding.js';
import { gatherTwins, type WithTwin } from './gather-twins.js';
import type { Gathered } from './rule.js';
import type { Words } from './words.js';

type SpotDetails = WithTwin<StraySpots>;

/** One finding a joint with all its spots; `levelOf` gives the level by their largest weight. */
export function spotFindings(
  list: readonly StraySpots[],
  { limit, label, levelOf }: { limit: number; label: string; levelOf(top: number): Level },
): Finding<SpotDetails>[] {
  return list.map((spots) => ({
    level: levelOf(spots.top),
    place: { kind: 'joint', joint: spots.joint },
    measured: spots.vertices,
    limit,
    unit: 'vertices',
    joints: [spots.joint],
    vertices: spots.parts[0]?.vertices.slice(0, 3) ?? [],
    evidence: [{ kind: 'point', label, at: spots.at }],
    details: { worst: spots, twin: null },
  }));
}

/** Twins as one, with the vertices and spots of both. */
export function gatherSpotTwins(
  facts: Facts,
  findings: readonly Finding<SpotDetails>[],
): Gathered<SpotDetails>[] {
  return gatherTwins(facts, findings).map(({ finding, from }) => {
    const measured = from.reduce((sum, joined) => sum + joined.measured, 0);
    const evidence = from.flatMap((joined) => joined.evidence ?? []);
    return { finding: { ...finding, measured, evidence }, from };
  });
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
