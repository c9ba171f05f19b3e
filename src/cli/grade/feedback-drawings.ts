import { byJointAndRule } from '../../draw/joint-findings.js';
import { numberView } from '../../draw/number-view.js';
import type { Fix } from '../../grade/fixes.js';
import type { FeedbackDrawing } from '../../page/class/feedback-html.js';
import type { AssetPictures } from '../../report/asset-pictures.js';
import { placeJoints } from '../../report/places.js';
import type { AssetReport, FindingReport } from '../../report/report-types.js';

/**
 * The rigs of an asset, or one of them, with what was found at their joints. Numbers are those of the list
 * of what to fix, which has an item for each rule.
 *
 * @param fixes All that the list has, in its order.
 */
export function feedbackDrawings(
  fixes: readonly Fix[],
  asset: AssetReport,
  pictures: AssetPictures | null,
  rig: number | null,
): FeedbackDrawing[] {
  const numbers = new Map(fixes.map(({ rule }, at) => [rule.id, at + 1]));
  return (pictures?.views ?? []).flatMap(({ whole }, at): FeedbackDrawing[] => {
    if (rig !== null && at !== rig) return [];
    const found = byJointAndRule(asset, at, numbers);
    const marks = fixes.flatMap(({ rule, findings }, index) => {
      const here = findings.filter(
        (placed) => placed.asset.path === asset.path && placed.finding.rig === at,
      );
      const names = jointsOf(here.map(({ finding }) => finding)).map(
        (joint) => asset.rigs[at]?.joints[joint]?.name ?? '',
      );
      return names.length === 0 ? [] : [{ number: index + 1, rule: rule.id, names }];
    });
    const unmarked = found.length - whole.badges.length;
    return [{ svg: numberView(whole, found), marks, unmarked }];
  });
}

/** Joints that findings are about, each once: their own places, then those that they only list. */
function jointsOf(findings: readonly FindingReport[]): number[] {
  const places = findings.flatMap(({ place }) => place.joint ?? []);
  return [...new Set([...places, ...findings.flatMap(placeJoints)])];
}
