import { LEVELS, type Level } from '../../kit/finding.js';
import { placeJoints } from '../../report/places.js';
import type { AssetReport } from '../../report/report-types.js';

/** What the report says at joints, for the picture. Waived findings are not marked. */
export type Marks = ReturnType<typeof makeMarks>;

/** Numbers that one joint shows; the page lists them all. */
const MOST_NUMBERS = 3;

export function makeMarks(asset: AssetReport | undefined, rigs: number) {
  /** For each rig the most serious level at each joint. */
  const levels = Array.from({ length: rigs }, () => new Map<number, Level>());
  const numbers = Array.from({ length: rigs }, () => new Map<number, number[]>());
  asset?.findings.forEach((finding, index) => {
    const { rig, level, waived } = finding;
    const [rigLevels, rigNumbers] = [levels[rig ?? -1], numbers[rig ?? -1]];
    if (waived !== undefined || !rigLevels || !rigNumbers) return;
    for (const joint of placeJoints(finding)) {
      const before = rigLevels.get(joint);
      if (before === undefined || LEVELS.indexOf(level) < LEVELS.indexOf(before))
        rigLevels.set(joint, level);
      rigNumbers.set(joint, [...(rigNumbers.get(joint) ?? []), index + 1]);
    }
  });
  return {
    levels,
    /** Numbers of the findings at each joint, the most serious joints first. */
    numbers: numbers
      .flatMap((rigNumbers, rig) =>
        [...rigNumbers].map(([joint, list]) => {
          const words = [
            ...list.slice(0, MOST_NUMBERS),
            ...(list.length > MOST_NUMBERS ? ['...'] : []),
          ];
          return { rig, joint, level: levels[rig]?.get(joint) ?? 'note', words: words.join(', ') };
        }),
      )
      .sort((a, b) => LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level)),
  };
}
