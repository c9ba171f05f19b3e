import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import { cardSkin, type TinySkin } from './tiny-rig.js';

/** A two-sided square of skin, and the joints that move it by index and weight. */
export interface Card {
  readonly at: Vec3;
  readonly by: readonly Influence[];
  /** Length of an edge, 1 mm when absent: a card is nearly a point. */
  readonly edge?: number;
}

/** Cards as one skin, each a piece of its own. */
export function cards(list: readonly Card[]): TinySkin {
  return joinSkins(
    list.map(({ at, by, edge = 1e-3 }) => {
      const skin = cardSkin([at], edge);
      return { ...skin, influences: skin.influences.map(() => [...by]) };
    }),
  );
}

/** Several skins as one, none joined to another. */
export function joinSkins(skins: readonly TinySkin[]): TinySkin {
  let first = 0;
  const triangles = skins.flatMap((skin) => {
    const offset = first;
    first += skin.positions.length;
    return skin.triangles.map(([a, b, c]) => [a + offset, b + offset, c + offset] as const);
  });
  return {
    positions: skins.flatMap((skin) => skin.positions),
    triangles,
    influences: skins.flatMap((skin) => skin.influences),
  };
}

/** The cards and their mirror images in X = 0, moved by the same joints. */
export function bothSides(list: readonly Card[]): Card[] {
  return list.flatMap((card) => [card, { ...card, at: [-card.at[0], card.at[1], card.at[2]] }]);
}
