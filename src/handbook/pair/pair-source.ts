import type { RigScene, Scene } from '../../draw/scene.js';
import type { AssetReport, FindingReport } from '../../report/report-types.js';
import type { RigModel } from '../../rig/types.js';

/** One character of the cast as it was read, measured and laid out for pictures. */
export interface PairSide {
  readonly model: RigModel;
  readonly scene: Scene;
  readonly report: AssetReport;
}

/** A character with one fault on it, and the same one mended. */
export interface PairSource {
  readonly rule: string;
  /** What the rule says of the one at fault. */
  readonly finding: FindingReport;
  readonly atFault: PairSide;
  readonly mended: PairSide;
  /** How both are posed for the picture; absent where they are drawn as stored. */
  readonly posed?: (side: PairSide) => RigScene;
}

/** Both drawings, as SVG. */
export type Drawn = readonly [atFault: string, mended: string];

/** What both sides are called in the label of a drawing. */
export const SIDE_WORDS = ['At fault', 'Mended'] as const;

/** The rig of a side, posed as the pair is. Null for a file without one. */
export function rigScene(source: PairSource, side: PairSide): RigScene | null {
  const [stored] = side.scene.rigs;
  if (stored === undefined) return null;
  return source.posed?.(side) ?? stored;
}

/** The joint of a side with a name; -1 where it has none. */
export function jointNamed({ report }: PairSide, name: string | undefined): number {
  return report.rigs[0]?.joints.findIndex((joint) => joint.name === name) ?? -1;
}
