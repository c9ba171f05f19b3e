import { LEVELS, type Level } from '../kit/finding.js';
import { counted } from '../report/finding-words.js';
import type { AssetReport, FindingReport, PlaceReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';
import type { Grading } from '../standard/grading.js';

/** What is at fault in an asset: each joint, node, mesh, skin, rig or file once. */
export interface Faulty {
  readonly kind: PlaceReport['kind'];
  /** The gravest of what was found there, as it counts for points. */
  readonly level: Level;
  /** Whether the report has it at another level. */
  readonly isOther?: boolean;
}

type Counting = Pick<Grading, 'counts' | 'countsFrom'>;

/** The level that a finding counts as for points. */
export function countedLevel(
  { rule, level, measured }: Pick<FindingReport, 'rule' | 'level' | 'measured'>,
  { counts, countsFrom }: Counting,
): Level {
  // What has no measure is beyond any.
  const isLess = measured !== null && measured < (countsFrom[rule] ?? 0);
  return isLess ? level : (counts[rule] ?? level);
}

/** Rules whose finding is one fault, and lists what follows from it. */
const ONE_CAUSE: readonly string[] = ['scale.shear'];

/**
 * What some findings of one rig are about, each place once, however many of them are about it. A finding
 * can list more than is at fault: both joints of a pair, or the topmost joint that may stay. So each rule
 * counts no more of its places than it found short. Where joints of a rig are listed, the rig is not one
 * more.
 */
export function faultyPlaces(
  { rigs }: AssetReport,
  findings: readonly FindingReport[],
  grading: Counting,
): ReadonlyMap<string, Faulty> {
  const faulty = new Map<string, Faulty>();
  const byRule = groupBy(findings, ({ rule, rig }) => `${rig} ${rule}`);
  for (const own of byRule.values()) {
    const [{ rule, rig } = { rule: '', rig: null }] = own;
    const measured = rigs
      .find(({ index }) => index === rig)
      ?.measured.find((entry) => entry.rule === rule);
    const short = ONE_CAUSE.includes(rule) ? own.length : Infinity;
    const judged = measured?.kind === 'judged' ? Math.max(1, measured.short) : Infinity;
    const most = Math.min(short, judged);
    let taken = 0;
    const seen = new Set<string>();
    for (const finding of [...own].sort(byLevel)) {
      const level = countedLevel(finding, grading);
      const inside = finding.places.filter(({ kind }) => kind !== 'rig');
      for (const place of inside.length > 0 ? inside : finding.places) {
        const key = keyOf(place);
        if (taken >= most || seen.has(key)) continue;
        seen.add(key);
        taken++;
        const known = faulty.get(key);
        if (known === undefined || byLevel({ level }, known) < 0)
          faulty.set(key, { kind: place.kind, level, isOther: level !== finding.level });
      }
    }
  }
  return faulty;
}

function byLevel(a: { readonly level: Level }, b: { readonly level: Level }): number {
  return LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level);
}

/** A joint is a node, by whichever name a rule tells it. */
function keyOf({ kind, pointer }: PlaceReport): string {
  return pointer.startsWith('/nodes/') ? pointer : `${kind} ${pointer}`;
}

const THINGS: Readonly<Record<PlaceReport['kind'], string>> = {
  joint: 'joint',
  node: 'node',
  mesh: 'mesh',
  skin: 'skin',
  rig: 'rig',
  asset: 'file',
};

/** `3 joints`, `1 mesh`; `4 places` where they are of several kinds. */
export function faultyWords(faulty: readonly Faulty[]): string {
  const [kind, ...others] = new Set(faulty.map((each) => THINGS[each.kind]));
  if (kind === undefined || others.length > 0) return counted(faulty.length, 'place');
  return kind === 'mesh' && faulty.length !== 1
    ? `${faulty.length} meshes`
    : counted(faulty.length, kind);
}
