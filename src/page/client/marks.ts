import { LEVELS, type Level } from '../../kit/finding.js';
import { findingNumbers } from '../../report/finding-numbers.js';
import { placeJoints } from '../../report/places.js';
import type { AssetReport } from '../../report/report-types.js';

/** What the report says at joints, for the picture. Waived findings are not marked. */
export type Marks = ReturnType<typeof makeMarks>;

/** The findings of one joint. */
export type JointMark = Marks['numbers'][number];

/** Numbers that one joint shows; the page lists them all. */
const MOST_NUMBERS = 3;

/** A finding that no joint shows. */
export interface WholeMark {
  readonly number: number;
  readonly level: Level;
}

export function makeMarks(asset: AssetReport | undefined, rigs: number) {
  /** For each rig the most serious level at each joint. */
  const levels = Array.from({ length: rigs }, () => new Map<number, Level>());
  const numbers = Array.from({ length: rigs }, () => new Map<number, number[]>());
  /** Of findings that no joint shows, by rig; those of the whole file with the first. */
  const whole = Array.from({ length: rigs }, (): WholeMark[] => []);
  const numberOf = findingNumbers(asset?.findings ?? []);
  asset?.findings.forEach((finding, index) => {
    const { rig, level, waived } = finding;
    const number = numberOf[index] ?? 0;
    if (waived === undefined && placeJoints(finding).length === 0)
      whole[rig ?? 0]?.push({ number, level });
    const [rigLevels, rigNumbers] = [levels[rig ?? -1], numbers[rig ?? -1]];
    if (waived !== undefined || !rigLevels || !rigNumbers) return;
    for (const joint of placeJoints(finding)) {
      const before = rigLevels.get(joint);
      if (before === undefined || LEVELS.indexOf(level) < LEVELS.indexOf(before))
        rigLevels.set(joint, level);
      rigNumbers.set(joint, [...(rigNumbers.get(joint) ?? []), number]);
    }
  });
  for (const list of numbers.flatMap((rigNumbers) => [...rigNumbers.values()]))
    list.sort((a, b) => a - b);
  for (const list of whole) list.sort((a, b) => a.number - b.number);
  return {
    levels,
    whole,
    /** Numbers of the findings at each joint, the most serious joints first. */
    numbers: numbers
      .flatMap((rigNumbers, rig) =>
        [...rigNumbers].map(([joint, list]) => {
          const words = [
            ...list.slice(0, MOST_NUMBERS),
            ...(list.length > MOST_NUMBERS ? ['...'] : []),
          ];
          const level = levels[rig]?.get(joint) ?? 'note';
          return { rig, joint, level, words: words.join(', '), numbers: list };
        }),
      )
      .sort((a, b) => LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level)),
  };
}
