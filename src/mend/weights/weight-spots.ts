import type { Facts } from '../../measure/facts.js';
import { islandsOf } from '../../measure/geometry/islands.js';
import { meshNet } from '../../measure/geometry/mesh-net.js';
import { skinMass } from '../../measure/skin/skin-mass.js';
import { type StrayIsland, weightOf } from '../../measure/skin/skin-spots.js';
import { strayIslands, wrongSideIslands } from '../../measure/skin/stray-skin.js';
import type { FindingReport } from '../../report/report-types.js';

/** Vertices whose weights, or a part of them, are at fault for one reason. */
export interface WeightSpot {
  readonly rule: string;
  /** Path of the joint, or of the mesh. */
  readonly place: string;
  /** The joint that should not move them; null where they have no weight that counts. */
  readonly joint: number | null;
  /** As numbered over all parts of the rig, in order. */
  readonly vertices: readonly number[];
}

/** What the findings of one rig are about, those without any good weight first: the others build on them. */
export function weightSpots(facts: Facts, findings: readonly FindingReport[]): WeightSpot[] {
  const { offsets } = meshNet(facts);
  const faults = skinMass(facts).weightFaults;
  const ofParts = (
    rule: string,
    of: (part: number) => readonly number[],
    aspect: string | null = null,
  ): WeightSpot[] => {
    const finding = findings.find((found) => found.rule === rule && found.aspect === aspect);
    if (finding === undefined) return [];
    const vertices = offsets.flatMap((offset, part) => of(part).map((vertex) => offset + vertex));
    if (vertices.length === 0) return [];
    return [{ rule, place: finding.place.path, joint: null, vertices }];
  };
  const ofJoints = (rule: string, of: (joint: number) => readonly number[]): WeightSpot[] =>
    findings
      .filter((found) => found.rule === rule)
      .flatMap(({ places }) => places)
      .flatMap(({ node, path }) => {
        const joint = node === null ? -1 : (facts.rig.joints.ofNode[node] ?? -1);
        const vertices = joint === -1 ? [] : of(joint);
        return vertices.length === 0 ? [] : [{ rule, place: path, joint, vertices }];
      });
  return [
    // The rule's other findings are of weights that are numbers.
    ...ofParts('skin.repeat', (part) => faults[part]?.noNumber ?? [], 'no number'),
    ...ofParts('skin.unweighted', (part) => faults[part]?.unweighted ?? []),
    ...ofJoints('skin.stray', (joint) => spotsOf(facts, joint, strayIslands(facts))),
    ...ofJoints('skin.side', (joint) => spotsOf(facts, joint, wrongSideIslands(facts) ?? [])),
    ...ofJoints('skin.remnant', (joint) => allMoved(facts, joint)),
  ];
}

/** All that a joint moves. */
function allMoved(facts: Facts, joint: number): number[] {
  const { places } = meshNet(facts);
  return Array.from(places.keys()).filter((vertex) => weightOf(facts, joint, vertex) > 0);
}

/** The whole islands of a joint that were found, with the faint fringe of the brush around them. */
function spotsOf(facts: Facts, joint: number, found: readonly StrayIsland[]): number[] {
  const wrong = new Set(
    found.flatMap((island) => (island.joint === joint ? island.vertices.slice(0, 1) : [])),
  );
  if (wrong.size === 0) return [];
  const { places } = meshNet(facts);
  const ofIslands = new Uint8Array(places.length);
  const islands = islandsOf(facts, joint);
  for (const { vertices } of islands)
    for (const vertex of vertices) ofIslands[places[vertex] ?? vertex] = 1;
  const all = islands
    .filter(({ vertices }) => vertices.some((vertex) => wrong.has(vertex)))
    .flatMap(({ vertices }) => withFringe(facts, joint, vertices, ofIslands));
  return [...new Set(all)].sort((a, b) => a - b);
}

/**
 * An island, and what hangs together with it by any weight of the joint; the island alone where it so hangs
 * together with other skin of the joint, whose fringe it is as much.
 *
 * @param ofIslands 1 for each place of any island of the joint.
 */
function withFringe(
  facts: Facts,
  joint: number,
  island: readonly number[],
  ofIslands: Uint8Array,
): readonly number[] {
  const { places, first, triangles, corners } = meshNet(facts);
  const isWalked = new Uint8Array(places.length);
  const walked: number[] = [];
  const walk = (place: number): void => {
    if (isWalked[place] === 0) walked.push(place);
    isWalked[place] = 1;
  };
  for (const vertex of island) walk(places[vertex] ?? vertex);
  for (const place of walked)
    for (let k = first[place] ?? 0; k < (first[place + 1] ?? 0); k++)
      for (let corner = 3 * (triangles[k] ?? 0), last = corner + 2; corner <= last; corner++) {
        const next = corners[corner] ?? place;
        if (isWalked[next] === 1 || !(weightOf(facts, joint, next) > 0)) continue;
        if (ofIslands[next] === 1) return island;
        walk(next);
      }
  const found: number[] = [];
  for (let vertex = 0; vertex < places.length; vertex++)
    if (isWalked[places[vertex] ?? vertex] === 1 && weightOf(facts, joint, vertex) > 0)
      found.push(vertex);
  return found;
}
