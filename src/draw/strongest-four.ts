import type { SkinnedPart } from '../rig/types.js';

/** Influences a vertex that a picture uses: what a graphics processor takes at once. */
export const DRAWN_INFLUENCES = 4;

/**
 * The four strongest influences of each vertex, which together weigh as much as all that it has: four slots
 * and four weights a vertex. What does not sum to 1 in the file does not here: it is shown as it is stored
 * (glTF 2.0, 3.7.3 Skins: the sum of w W B p). A vertex that nothing moves has weights of 0.
 */
export function strongestFour(
  part: Pick<SkinnedPart, 'vertexCount' | 'influences' | 'slots' | 'weights'>,
): { slots: Uint16Array; weights: Float32Array } {
  const { vertexCount, influences, slots, weights } = part;
  const outSlots = new Uint16Array(DRAWN_INFLUENCES * vertexCount);
  const outWeights = new Float32Array(DRAWN_INFLUENCES * vertexCount);
  for (let vertex = 0; vertex < vertexCount; vertex++) {
    const [from, to] = [influences * vertex, DRAWN_INFLUENCES * vertex];
    let stored = 0;
    // Insertion into the four places, the strongest first; ties stay in the file's order.
    for (let i = 0; i < influences; i++) {
      const weight = weights[from + i] ?? 0;
      if (!(weight > 0)) continue;
      stored += weight;
      for (let place = 0; place < DRAWN_INFLUENCES; place++) {
        if (weight <= (outWeights[to + place] ?? 0)) continue;
        outWeights.copyWithin(to + place + 1, to + place, to + DRAWN_INFLUENCES - 1);
        outSlots.copyWithin(to + place + 1, to + place, to + DRAWN_INFLUENCES - 1);
        outWeights[to + place] = weight;
        outSlots[to + place] = slots[from + i] ?? 0;
        break;
      }
    }
    let sum = 0;
    for (let place = 0; place < DRAWN_INFLUENCES; place++) sum += outWeights[to + place] ?? 0;
    if (sum > 0)
      for (let place = 0; place < DRAWN_INFLUENCES; place++)
        outWeights[to + place] = (outWeights[to + place] ?? 0) * (stored / sum);
  }
  return { slots: outSlots, weights: outWeights };
}
