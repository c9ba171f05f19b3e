import type { Vec3 } from './vec3.js';

/** The 24 ways to turn axes onto axes without mirroring; as they are comes first. */
export const QUARTER_TURNS = [0, 1, 2].flatMap((x) =>
  [(x + 1) % 3, (x + 2) % 3].flatMap((y) =>
    [1, -1].flatMap((sx) =>
      [1, -1].map((sy) => {
        // The third sign makes it a turn instead of a mirroring.
        const sz = (y === (x + 1) % 3 ? 1 : -1) * sx * sy;
        return (place: Vec3): Vec3 => {
          const axis = (index: number): number => place[index] ?? 0;
          return [sx * axis(x), sy * axis(y), sz * axis(3 - x - y)];
        };
      }),
    ),
  ),
);
