import { direction, subtract, vec3At } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { bindMesh } from '../geometry/bind-mesh.js';
import { bindPose } from '../pose/bind-pose.js';
import type { PlayStage } from './play-stage.js';
import { probesOf, type SkinProbes } from './skin-probes.js';
import { sameParts, weightsApart } from './weights.js';

/** The same vertices in both rigs, and the place in the list of the stage of the joint that moves each most. */
export interface PlaySkin {
  readonly theirs: SkinProbes;
  readonly ours: SkinProbes;
  readonly of: Int32Array;
}

/** Vertices with other weights, the most different first, that are watched besides. */
const MOST_REWEIGHED = 100;
/** A vertex stands for a joint that has this share of it. */
const FOLLOWS = 0.5;
/** A smaller difference of weights moves nothing to speak of. */
const REWEIGHED = 0.01;

/**
 * Chooses the vertices to watch where both rigs have the same mesh: of each joint, among those that
 * follow it, the one farthest from it and the one farthest aside, which show most of any turn; and those
 * whose weights differ most. Real vertices, so that what is measured is seen;
 * few, so that a mesh of a million costs no more than one of a thousand.
 */
export function playSkin(facts: Facts, stage: PlayStage): PlaySkin {
  const { rig } = facts;
  const placeOf = new Int32Array(rig.joints.count).fill(-1);
  for (const [place, joint] of stage.ours.entries()) placeOf[joint] = place;
  const chosen = chooseVertices(facts, stage, placeOf);
  const theirs = chosen.map(({ theirs: part, vertex }) => ({ part, vertex }));
  const ours = chosen.map(({ ours: part, vertex }) => ({ part, vertex }));
  return {
    theirs: probesOf(stage.approved.rig, theirs),
    ours: probesOf(rig, ours),
    of: Int32Array.from(chosen, ({ place }) => place),
  };
}

interface Chosen {
  readonly theirs: number;
  readonly ours: number;
  readonly vertex: number;
  readonly place: number;
}

function chooseVertices(facts: Facts, stage: PlayStage, placeOf: Int32Array): Chosen[] {
  const reweighed = weightsApart(facts)
    .flatMap(({ theirs, ours, byVertex, jointOf }) =>
      mostOf(byVertex, MOST_REWEIGHED).map((vertex) => {
        const place = placeOf[jointOf[vertex] ?? -1] ?? -1;
        return { theirs, ours, vertex, place, apart: byVertex[vertex] ?? 0 };
      }),
    )
    .sort((a, b) => b.apart - a.apart);
  const count = stage.theirs.length;
  const ways = new Float64Array(3 * count);
  const ends = farthest(facts, stage, ways);
  for (const { place, theirs, vertex } of ends) {
    const posed = bindMesh(stage.approved).positions[theirs] ?? [];
    const origin = bindPose(stage.approved).places[stage.theirs[place] ?? -1] ?? [0, 0, 0];
    ways.set(direction(subtract(vec3At(posed, vertex), origin)) ?? [0, 0, 0], 3 * place);
  }
  // A roll leaves the end where it is: what lies farthest aside of the way to it shows that.
  const sides = farthest(facts, stage, ways);
  return [...ends, ...sides, ...reweighed.slice(0, MOST_REWEIGHED)];
}

/**
 * For each joint of the stage, the vertex that follows it and is farthest from the line through it along
 * its `way` (a unit vector), or from the joint itself where that is nothing. Bind pose.
 */
function farthest(facts: Facts, { approved, theirs }: PlayStage, ways: Float64Array): Chosen[] {
  const { joints, parts, skins } = approved.rig;
  const places = Float64Array.from(bindPose(approved).places.flat());
  const indexOf = new Int32Array(joints.count).fill(-1);
  for (const [index, joint] of theirs.entries()) indexOf[joint] = index;
  const away = new Float64Array(theirs.length).fill(-1);
  const found: (Chosen | undefined)[] = [];
  for (const same of sameParts(facts)) {
    const part = parts[same.theirs];
    const slots = skins[part?.skin ?? -1]?.jointOfSlot;
    const posed = bindMesh(approved).positions[same.theirs];
    if (!part || !slots || !posed) continue;
    for (let k = 0; k < part.influences * part.vertexCount; k++) {
      if (!((part.weights[k] ?? 0) >= FOLLOWS)) continue;
      const joint = slots[part.slots[k] ?? 0] ?? -1;
      const place = indexOf[joint] ?? -1;
      if (place === -1) continue;
      const vertex = Math.floor(k / part.influences);
      const x = (posed[3 * vertex] ?? 0) - (places[3 * joint] ?? 0);
      const y = (posed[3 * vertex + 1] ?? 0) - (places[3 * joint + 1] ?? 0);
      const z = (posed[3 * vertex + 2] ?? 0) - (places[3 * joint + 2] ?? 0);
      const along =
        x * (ways[3 * place] ?? 0) +
        y * (ways[3 * place + 1] ?? 0) +
        z * (ways[3 * place + 2] ?? 0);
      const squared = x * x + y * y + z * z - along * along;
      if (squared <= (away[place] ?? 0)) continue;
      away[place] = squared;
      found[place] = { ...same, vertex, place };
    }
  }
  return found.filter((entry) => entry !== undefined);
}

/** The vertices with the largest differences of weights, as many as asked for at most. */
function mostOf(byVertex: Float64Array, count: number): number[] {
  const list: number[] = [];
  for (const [vertex, apart] of byVertex.entries()) if (apart > REWEIGHED) list.push(vertex);
  return list.sort((a, b) => (byVertex[b] ?? 0) - (byVertex[a] ?? 0) || a - b).slice(0, count);
}
