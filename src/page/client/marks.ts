import { placeJoints } from '../../report/places.js';
import type { AssetReport, FindingReport } from '../../report/report-types.js';

type Level = FindingReport['level'];

/** What the report says at joints, for the picture. Waived findings are not marked. */
export interface Marks {
  /** For each rig the most serious level at each joint. */
  readonly levels: readonly ReadonlyMap<number, Level>[];
  /** Numbers of the findings at each joint, the most serious joints first. */
  readonly numbers: readonly {
    readonly rig: number;
    readonly joint: number;
    readonly words: string;
    readonly level: Level;
  }[];
}

const RANK: Readonly<Record<Level, number>> = { error: 0, warning: 1, note: 2 };

/** Numbers that one joint shows; the page lists them all. */
const MOST_NUMBERS = 3;

export function makeMarks(asset: AssetReport | undefined, rigs: number): Marks {
  const levels = Array.from({ length: rigs }, () => new Map<number, Level>());
  const numbers = Array.from({ length: rigs }, () => new Map<number, number[]>());
  asset?.findings.forEach((finding, index) => {
    const { rig, level, waived } = finding;
    const [ofRig, own] = [levels[rig ?? -1], numbers[rig ?? -1]];
    if (waived !== undefined || !ofRig || !own) return;
    for (const joint of placeJoints(finding)) {
      const known = ofRig.get(joint);
      if (known === undefined || RANK[level] < RANK[known]) ofRig.set(joint, level);
      own.set(joint, [...(own.get(joint) ?? []), index + 1]);
    }
  });
  return {
    levels,
    numbers: numbers
      .flatMap((own, rig) =>
        [...own].map(([joint, list]) => ({
          rig,
          joint,
          level: levels[rig]?.get(joint) ?? 'note',
          words: `${list.slice(0, MOST_NUMBERS).join(', ')}${list.length > MOST_NUMBERS ? ', ...' : ''}`,
        })),
      )
      .sort((a, b) => RANK[a.level] - RANK[b.level]),
  };
}
