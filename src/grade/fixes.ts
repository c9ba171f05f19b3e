import type { Settings } from '../check/settings.js';
import { isFailing, LEVELS, type Level } from '../kit/finding.js';
import { mendingOrder } from '../kit/mending-order.js';
import type { Rule } from '../kit/rule.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';
import type { Grading } from '../standard/grading.js';
import { countedFaulty } from './family-cost.js';
import { countedLevel, type Faulty, faultyPlaces } from './faulty-places.js';
import { countsAlsoIn, type FamilyGrade, type Grade, type RuleGrade } from './grade-assets.js';

/** All findings of one rule in a submission, and the family whose points they cost. */
export interface Fix {
  readonly rule: Rule;
  readonly level: Level;
  /** The gravest first, which gives the level; of one level those that cost more; else in report order. */
  readonly findings: readonly PlacedFinding[];
  /** How its family and the rule were graded; null where the family is worth no points. */
  readonly family: FamilyGrade | null;
  readonly grade: RuleGrade | null;
  /** What is at fault by this rule, of what the family loses points for. */
  readonly faulty: readonly Faulty[];
  /** A second family whose points its errors cost; null for none. */
  readonly also: FamilyGrade | null;
}

export interface PlacedFinding {
  readonly asset: AssetReport;
  readonly finding: FindingReport;
}

/**
 * What to fix, in order: first what makes the rig unsound, and errors in any case, in the order in
 * which faults are mended, as the report has it; then what costs most; then again in that order. What
 * makes a bend collapse comes before the bend.
 */
export function fixesOf(
  assets: readonly AssetReport[],
  grade: Grade | null,
  { rules, failing }: Settings,
): Fix[] {
  const placed = assets.flatMap((asset) => asset.findings.map((finding) => ({ asset, finding })));
  const byRule = groupBy(placed, ({ finding }) => finding.rule);
  const fixes = rules.flatMap((rule): Fix[] => {
    const findings = byRule.get(rule.id) ?? [];
    const rank = (level: Level): number => LEVELS.indexOf(level);
    const counts = ({ finding }: PlacedFinding): number =>
      grade === null ? 0 : rank(countedLevel(finding, grade.grading));
    findings.sort((a, b) => rank(a.finding.level) - rank(b.finding.level) || counts(a) - counts(b));
    const [gravest] = findings;
    if (gravest === undefined) return [];
    const family = grade?.families.find((each) => each.family === rule.family) ?? null;
    const graded = family?.rules.find((each) => each.rule === rule) ?? null;
    const faulty =
      family === null || grade === null ? [] : paidFor(findings, family, grade.grading);
    const { level } = gravest.finding;
    const also = grade === null ? null : alsoPaid(findings, grade);
    return [{ rule, level, findings, family, grade: graded, faulty, also }];
  });
  const isGrave = ({ level }: Fix): boolean => level === 'error' || isFailing(level, failing);
  const grave = (a: Fix, b: Fix): number => Number(isGrave(b)) - Number(isGrave(a));
  const cost = (a: Fix, b: Fix): number => lostBy(b) - lostBy(a);
  const mended = (a: Fix, b: Fix): number =>
    mendingOrder({ ...a, rule: a.rule.id }, { ...b, rule: b.rule.id });
  fixes.sort((a, b) => grave(a, b) || (isGrave(a) ? 0 : cost(a, b)) || mended(a, b) || cost(a, b));
  return causesFirst(fixes);
}

/** What makes bends collapse where it is at fault: where joints stand, and which of them move the skin. */
const CAUSES: readonly string[] = ['place', 'skin'];

/** A joint that stands wrong is moved before its bend is looked at again, whatever each of them costs. */
function causesFirst(fixes: readonly Fix[]): Fix[] {
  const ordered = [...fixes];
  for (const bend of fixes.filter(({ rule }) => rule.family === 'motion')) {
    const bent = placesOf(bend);
    const at = ordered.indexOf(bend);
    const causes = ordered.filter(
      (fix, index) =>
        index > at &&
        CAUSES.includes(fix.rule.family) &&
        placesOf(fix).some((place) => bent.includes(place)),
    );
    const others = ordered.filter((fix) => !causes.includes(fix));
    ordered.splice(0, Infinity, ...others.slice(0, at), ...causes, ...others.slice(at));
  }
  return ordered;
}

function placesOf({ findings }: Fix): string[] {
  return findings.flatMap(({ asset, finding }) =>
    finding.places.map(({ pointer }) => `${asset.path} ${pointer}`),
  );
}

/** The second family that pays for findings of a rule, in the rig in which it is counted. */
function alsoPaid(findings: readonly PlacedFinding[], grade: Grade): FamilyGrade | null {
  const paying = grade.families.find((family) =>
    findings.some(
      ({ asset, finding }) =>
        countsAlsoIn(asset, finding, family.family, grade.grading) &&
        (family.file === null || asset.path === family.file) &&
        finding.rig === family.rig,
    ),
  );
  return paying?.earned == null ? null : paying;
}

/** What is at fault by some findings of a rule, in the rig in which its family is counted. */
function paidFor(
  findings: readonly PlacedFinding[],
  family: FamilyGrade,
  grading: Grading,
): Faulty[] {
  const counted = findings.filter(
    ({ asset, finding }) =>
      (family.file === null || asset.path === family.file) && finding.rig === family.rig,
  );
  const [first] = counted;
  if (first === undefined) return [];
  const places = faultyPlaces(
    first.asset,
    counted.map(({ finding }) => finding),
    grading,
  );
  return countedFaulty([...places.values()], grading);
}

/** Points that the families of a rule lose, not rounded; none where the rule's own findings cost nothing. */
export function lostBy({ family, faulty, also }: Fix): number {
  return (faulty.length === 0 ? 0 : (family?.lost ?? 0)) + (also?.lost ?? 0);
}
