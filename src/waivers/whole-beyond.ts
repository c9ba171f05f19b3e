import { LEVELS } from '../kit/finding.js';
import { acceptedIn, leastOf } from './accepted-in.js';
import type { Beyond, Saying } from './beyond.js';
import type { WaiverText } from './ledger.js';
import type { Subject } from './subjects.js';
import { areMore, isCounted, isWorse, worst } from './worse.js';

/** What the finding as a whole is more than all that was accepted together. */
export function wholeBeyond<W extends WaiverText>(
  subject: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const { finding } = subject;
  const [first] = saying;
  if (first === undefined) return [];
  const rank = ({ accepted }: Saying<W>): number => LEVELS.indexOf(accepted.level);
  const gravest = saying.reduce((a, b) => (rank(b) < rank(a) ? b : a), first);
  const known = new Set(saying.flatMap(({ accepted }) => accepted.insteadOf ?? []));
  const rules = (finding.insteadOf ?? []).filter((rule) => !known.has(rule));
  return [
    ...(LEVELS.indexOf(finding.level) < rank(gravest)
      ? [{ kind: 'level' as const, waiver: gravest }]
      : []),
    ...measureBeyond(subject, saying),
    ...alsoBeyond(subject, saying),
    ...verticesBeyond(subject, saying),
    ...(rules.length > 0 ? [{ kind: 'rules' as const, waiver: first, rules }] : []),
  ];
}

function measureBeyond<W extends WaiverText>(
  { finding, places, cut }: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const { measured, unit } = finding;
  // Vertices are looked at with their number in all. Where places have their own measures, or are
  // counted and listed, they are held to what was accepted one by one.
  const own = places.every((place) => place.measured !== null);
  const listed = cut === null && saying.every(({ accepted }) => accepted.places !== null);
  if (measured === null || unit === 'vertices' || (listed && (own || isCounted(unit)))) return [];
  const known = saying.flatMap((waiver) => {
    const before = acceptedIn(waiver.accepted, unit);
    return before === null ? [] : [{ waiver, before }];
  });
  const [first] = known;
  if (first === undefined) return [];
  const before = known.reduce(
    (at, item) => worst(at, item.before, leastOf({ finding })),
    first.before,
  );
  if (!isWorse({ ...finding, measured }, before, leastOf({ finding }))) return [];
  const { waiver } = known.find((item) => item.before === before) ?? first;
  return [{ kind: 'measure', waiver, path: null, accepted: before, now: measured }];
}

/** What else was measured, held to what was accepted in its unit. */
function alsoBeyond<W extends WaiverText>(
  { finding: { also = [] } }: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const [first] = saying;
  if (first === undefined) return [];
  return also.flatMap(({ measured, unit }): Beyond<W>[] => {
    const before = saying.flatMap(({ accepted }) => acceptedIn(accepted, unit) ?? []);
    const most = before.length === 0 ? null : Math.max(...before);
    if (most !== null && !isWorse({ measured, limit: null, unit }, most)) return [];
    return [{ kind: 'also', waiver: first, accepted: most, now: measured, unit }];
  });
}

function verticesBeyond<W extends WaiverText>(
  { vertices }: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const known = saying.flatMap((waiver) => {
    const before = waiver.accepted.vertices;
    return before === undefined ? [] : [{ waiver, before }];
  });
  const [first] = known;
  if (vertices === null || first === undefined) return [];
  // What was accepted apart and is told as one now adds up.
  const short = known.reduce((sum, { before }) => sum + before.short, 0);
  const of = Math.max(...known.map(({ before }) => before.of));
  return areMore(vertices, { short, of }) ? [{ kind: 'vertices', waiver: first.waiver }] : [];
}
